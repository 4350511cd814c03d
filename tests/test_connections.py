"""Which connections a full server gives up, on a server that listens and connections that are made up.

Real ones that stay half open: `tests/faults/test_half_open.py`.
"""

from __future__ import annotations

import resource
import socket
from collections.abc import Iterator
from contextlib import closing
from types import SimpleNamespace
from typing import Any

import pytest
from waitress.server import MultiSocketServer

from app import connections
from app.connections import Channel, Rank, Server, beyond_the_cap, create_server

NOW = 1_000_000.0
HEAD = SimpleNamespace(headers_finished=False)


def a_channel(
    address: str = "10.0.0.1",
    rank: Rank = Rank.UNFINISHED,
    begun: float = NOW,
    last_activity: float = NOW,
    will_close: bool = False,
) -> Channel:
    """A connection that does what this rank says."""
    channel = Channel.__new__(Channel)
    channel.addr = (address, 50_000)
    channel.request = HEAD if rank is Rank.UNFINISHED else None
    channel.requests = [HEAD] if rank is Rank.AT_WORK else []
    channel.total_outbufs_len = 1 if rank is Rank.FETCHING else 0
    channel.finished_one = rank is not Rank.UNFINISHED
    channel.begun, channel.last_activity, channel.will_close = begun, last_activity, will_close
    return channel


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[bool, Server]]:
    """A server that phones reach, and one behind a proxy."""
    monkeypatch.setattr(connections, "_allow_open_files", lambda _wanted: None)
    servers = {}
    for behind in (False, True):
        server = create_server(object(), behind_proxy=behind, host="127.0.0.1", port=0, threads=1)
        assert isinstance(server, Server)
        servers[behind] = server
    yield servers
    for server in servers.values():
        for place in [place for place, one in server._map.items() if isinstance(one, Channel)]:
            del server._map[place]
        server.close()
        server.task_dispatcher.shutdown()


def holding(server: Server, channels: list[Channel]) -> None:
    server._map.update({100_000 + place: channel for place, channel in enumerate(channels)})


def given_up(channels: list[Channel]) -> list[int]:
    return [place for place, channel in enumerate(channels) if channel.will_close]


def told(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, int]]:
    """What the log is told from now on."""
    lines: list[tuple[str, int]] = []

    def warning(event: str, *, how_many: int, why: str) -> None:
        assert event == "connections ended"
        lines.append((why, how_many))

    monkeypatch.setattr(connections, "LOG", SimpleNamespace(warning=warning))
    return lines


def test_what_a_connection_does_is_seen_on_it() -> None:
    assert [a_channel(rank=rank).rank for rank in Rank] == list(Rank)
    between = a_channel(rank=Rank.IDLE)
    between.request = HEAD
    assert between.rank is Rank.UNFINISHED, "another request has begun"
    silent = a_channel()
    silent.request = None
    assert silent.rank is Rank.UNFINISHED, "it has sent nothing yet"


def test_a_request_begins_with_its_first_byte(
    made: dict[bool, Server], monkeypatch: pytest.MonkeyPatch
) -> None:
    ours, theirs = socket.socketpair()
    asked: list[Channel] = []
    server = SimpleNamespace(add_task=asked.append, active_channels={})
    with closing(ours), closing(theirs):
        channel = Channel(server, ours, ("10.0.0.1", 1), made[False].adj, map={})
        assert (channel.begun, channel.finished_one) == (channel.creation_time, False)
        for moment, sent, begun, finished in (
            (NOW, b"GET / HTTP/1.1\r\n", NOW, False),
            (NOW + 5, b"Host: phones\r\n", NOW, False),
            (NOW + 9, b"\r\n", NOW, True),
        ):
            monkeypatch.setattr("app.connections.time.time", lambda moment=moment: moment)
            assert channel.received(sent) is True
            assert (channel.begun, channel.finished_one) == (begun, finished)
        assert asked == [channel]
        assert channel.rank is Rank.AT_WORK
        channel.requests = []
        monkeypatch.setattr("app.connections.time.time", lambda: NOW + 20)
        assert channel.received(b"GET") is True
        assert (channel.begun, channel.rank) == (NOW + 20, Rank.UNFINISHED)
        assert channel.received(b"") is False


def test_each_second_what_is_silent_late_or_too_much_of_one_address_is_ended(
    made: dict[bool, Server], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "UNFINISHED_OF_ONE_ADDRESS", 2)
    for behind, ended in ((False, [1, 2]), (True, [1])):
        lines = told(monkeypatch)
        channels = [
            a_channel(rank=Rank.IDLE),
            a_channel("10.0.0.2", begun=NOW - 16),
            a_channel("10.0.0.3", begun=NOW - 3),
            a_channel("10.0.0.3", begun=NOW - 2),
            a_channel("10.0.0.3", begun=NOW - 1),
        ]
        holding(made[behind], channels)
        made[behind].maintenance(NOW)
        assert given_up(channels) == ended
        late, many = "their requests did not come to an end", "one address had too many unfinished requests"
        assert lines == ([(late, 1)] if behind else [(late, 1), (many, 1)])
        made[behind].maintenance(NOW + 0.5)
        assert given_up(channels) == ended, "what is given up already is not counted again"
        assert len(lines) == len(ended)


def test_what_was_ended_is_said_at_once_and_then_once_a_minute(
    made: dict[bool, Server], monkeypatch: pytest.MonkeyPatch
) -> None:
    lines, server = told(monkeypatch), made[True]
    for moment, in_all in ((0, 1), (1, 1), (2, 1), (59, 1), (60, 2)):
        holding(server, [a_channel(begun=NOW + moment - 16)])
        server.maintenance(NOW + moment)
        assert len(lines) == in_all, moment
    assert [how_many for _why, how_many in lines] == [1, 4]


def test_a_full_house_gives_up_the_least_useful_of_the_address_with_most(
    made: dict[bool, Server], monkeypatch: pytest.MonkeyPatch
) -> None:
    server, lines = made[False], told(monkeypatch)
    server.adj.connection_limit, own = 30, len(server._map)
    others = [a_channel("10.0.0.2", rank=Rank.IDLE) for _ in range(4)]
    theirs = [
        *(a_channel(rank=Rank.AT_WORK) for _ in range(2)),
        a_channel(rank=Rank.FETCHING),
        *(a_channel(last_activity=NOW - ago) for ago in (1, 3, 2)),
        *(a_channel(rank=Rank.IDLE) for _ in range(7)),
    ]
    server.next_channel_cleanup = float("inf")
    holding(server, [*theirs, *others][: 19 - own])
    server.readable()
    assert given_up(theirs) == [], "there are more than ten places"
    holding(server, [*theirs, *others, *(a_channel(f"10.0.1.{place}") for place in range(3 - own))])
    assert server.readable() is True
    assert given_up(theirs) == [3, 4, 5, *range(6, 13)]
    assert given_up(others) == []
    server.readable()
    assert len(given_up(theirs)) + len(given_up(others)) == 10 + 4, "now the other address has most"
    server.readable()
    assert given_up(theirs) == [*range(2, 13)], "but for what is being answered"
    server._tell(NOW)
    assert lines == [("all places were taken", 15)]


def test_where_all_are_given_up_already_nobody_more_is(made: dict[bool, Server]) -> None:
    server = made[False]
    server.adj.connection_limit = 1
    server.next_channel_cleanup = float("inf")
    holding(server, [a_channel(will_close=True)])
    server.readable()
    assert server._ended == {}


def test_of_each_address_the_oldest_unfinished_requests_are_beyond_its_cap(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(connections, "UNFINISHED_OF_ONE_ADDRESS", 3)
    many = [a_channel(begun=NOW - ago) for ago in (1, 5, 2, 4, 3)]
    few = [a_channel("10.0.0.2", begun=NOW - 100) for _ in range(3)]
    others = [a_channel(rank=rank) for rank in (Rank.IDLE, Rank.FETCHING, Rank.AT_WORK)]
    ending = [a_channel("10.0.0.2", begun=NOW - 200, will_close=True)]
    assert beyond_the_cap([*few, *many, *others, *ending]) == [many[1], many[3]]


def test_a_server_has_its_places_looks_each_second_and_lets_go_after_a_minute(
    made: dict[bool, Server],
) -> None:
    adj = made[False].adj
    assert (adj.connection_limit, adj.channel_timeout, adj.cleanup_interval) == (1000, 60, 1)
    assert adj.asyncore_use_poll is True, "select() knows no more than 1,024 files"
    assert [len(server.task_dispatcher.threads) for server in made.values()] == [1, 1]
    assert [server.behind_proxy for server in made.values()] == [False, True]


def test_a_server_of_two_addresses_listens_at_both(monkeypatch: pytest.MonkeyPatch) -> None:
    wanted: list[int] = []
    monkeypatch.setattr(connections, "_allow_open_files", wanted.append)
    server = create_server(object(), behind_proxy=True, listen="127.0.0.1:0 127.0.0.2:0", threads=1)
    assert isinstance(server, MultiSocketServer)
    assert [host for host, _port in server.effective_listen] == ["127.0.0.1", "127.0.0.2"]
    server.close()
    server.task_dispatcher.shutdown()
    assert wanted == [1200], "a thousand connections and what else is open"


NO_LIMIT: Any = resource.RLIM_INFINITY


@pytest.mark.parametrize(
    ("soft", "hard", "then"),
    [
        (1024, 4096, (1200, 4096)),
        (1024, 1100, (1100, 1100)),
        (1024, NO_LIMIT, (1200, NO_LIMIT)),
        (1200, 4096, None),
        (NO_LIMIT, NO_LIMIT, None),
    ],
)
def test_more_open_files_are_asked_for_as_far_as_the_system_lets_it(
    monkeypatch: pytest.MonkeyPatch, soft: int, hard: int, then: tuple[int, int] | None
) -> None:
    asked: list[tuple[int, int]] = []
    monkeypatch.setattr(resource, "getrlimit", lambda _what: (soft, hard))
    monkeypatch.setattr(resource, "setrlimit", lambda _what, limits: asked.append(limits))
    connections._allow_open_files(1200)
    assert asked == ([] if then is None else [then])
