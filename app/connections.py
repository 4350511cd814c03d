"""The connections of a running server: half-sent requests end in time, and a full house makes room.

waitress takes requests in on one loop and closes what is silent for long. It has no deadline for a request
that comes a byte at a time, and when all places are taken it accepts nobody until one falls free. Both are
added here, and a cap on what one address may leave unfinished.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Iterable
from enum import IntEnum
from typing import Any

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import MultiSocketServer, TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher

from app.server_log import LOG

CONNECTIONS = 1000
"""Places in all: 480 phones with two each."""
UNFINISHED_OF_ONE_ADDRESS = 300
"""A school's router is one address: 50 phones that each open six connections at once, a browser's most."""
HEAD_SECONDS = 15.0
REQUEST_SECONDS = 60.0
"""For a whole request, from its first byte: a table of 8 MiB at 1.2 Mbit/s. All our own choices."""
SILENT_SECONDS = 60
LOOK_SECONDS, TELL_SECONDS = 1, 60
FILES_BESIDE = 200
"""Files that a server may have open beside its connections."""
_RESERVE = 10  # so many places are kept free for whoever comes next


class Rank(IntEnum):
    """What a connection is doing, in the order in which connections are given up."""

    IDLE = 0
    """Between two requests: a browser opens another one by itself."""
    UNFINISHED = 1
    """Nothing yet, or a part of a request."""
    FETCHING = 2
    """Its answer is ready and goes out."""
    AT_WORK = 3
    """Its request is being answered: never given up."""


class Channel(HTTPChannel):  # type: ignore[misc]
    """A connection that knows since when its request is coming in."""

    finished_one = False

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self.begun = self.creation_time

    def received(self, data: bytes) -> bool:
        """Take bytes in. Called on the server's loop alone."""
        if self.request is None:
            self.begun = time.time()
        taken = bool(super().received(data))
        if self.requests:
            self.finished_one = True
        return taken

    @property
    def rank(self) -> Rank:
        """What it is doing."""
        if self.requests:
            return Rank.AT_WORK
        if self.total_outbufs_len:
            return Rank.FETCHING
        return Rank.IDLE if self.finished_one and self.request is None else Rank.UNFINISHED

    def is_late(self, now: float) -> bool:
        """Whether a request that has begun should have been whole by now."""
        if self.request is None or self.requests:
            return False
        allowed = REQUEST_SECONDS if self.request.headers_finished else HEAD_SECONDS
        return bool(now - self.begun > allowed)


class Server(TcpWSGIServer):  # type: ignore[misc]
    """A listening socket that gives connections up in a sensible order."""

    channel_class = Channel

    def __init__(self, *given: Any, behind_proxy: bool, **named: Any) -> None:
        """Behind a proxy all connections are its own, and it takes whole requests in before it hands them on:
        no cap for one address then."""
        self.behind_proxy = behind_proxy
        self._ended: Counter[str] = Counter()
        self._told_at = 0.0
        super().__init__(*given, **named)

    def readable(self) -> bool:
        """Called at every turn of the loop, before anybody is accepted.

        A connection is only marked here, and closed by the loop itself. Closed at this point, it would leave
        its number to the next one, which the loop would then close in its place.
        """
        if len(self._map) >= self.adj.connection_limit - _RESERVE:
            self._make_room()
        return bool(super().readable())

    def maintenance(self, now: float) -> None:
        """Every second: what is silent, what is late, and what one address has too much of."""
        super().maintenance(now)
        channels = self._channels()
        self._give_up((one for one in channels if one.is_late(now)), "their requests did not come to an end")
        if not self.behind_proxy:
            self._give_up(beyond_the_cap(channels), "one address had too many unfinished requests")
        self._tell(now)

    def _make_room(self) -> None:
        """Give up what is of least use, from the address that has most connections."""
        left = [one for one in self._channels() if not one.will_close]
        if not left:
            return
        (most, _), *_ = Counter(_address(one) for one in left).most_common(1)
        theirs = (one for one in left if _address(one) == most and one.rank < Rank.AT_WORK)
        first = sorted(theirs, key=lambda one: (one.rank, one.last_activity))[:_RESERVE]
        self._give_up(first, "all places were taken")

    def _channels(self) -> list[Channel]:
        return [one for one in self._map.values() if isinstance(one, Channel)]

    def _give_up(self, channels: Iterable[Channel], why: str) -> None:
        for channel in channels:
            if not channel.will_close:
                channel.will_close = True
                self._ended[why] += 1

    def _tell(self, now: float) -> None:
        """Say what was ended, at once and then once a minute: a flood leaves no flood of lines."""
        if self._ended and now >= self._told_at + TELL_SECONDS:
            for why, how_many in self._ended.items():
                LOG.warning("connections ended", how_many=how_many, why=why)
            self._ended.clear()
            self._told_at = now


def beyond_the_cap(channels: Iterable[Channel]) -> list[Channel]:
    """Of each address with more unfinished requests than it may have, the oldest of them."""
    unfinished: dict[str, list[Channel]] = {}
    for channel in channels:
        if channel.rank is Rank.UNFINISHED and not channel.will_close:
            unfinished.setdefault(_address(channel), []).append(channel)
    return [
        channel
        for theirs in unfinished.values()
        for channel in sorted(theirs, key=lambda one: one.begun)[: len(theirs) - UNFINISHED_OF_ONE_ADDRESS]
        if len(theirs) > UNFINISHED_OF_ONE_ADDRESS
    ]


def create_server(app: Any, *, behind_proxy: bool, **options: Any) -> Server | MultiSocketServer:
    """As `waitress.create_server`, for host and port, with the rules above."""
    adjustments = Adjustments(
        connection_limit=CONNECTIONS,
        channel_timeout=SILENT_SECONDS,
        cleanup_interval=LOOK_SECONDS,
        asyncore_use_poll=True,
        **options,
    )
    _allow_open_files(CONNECTIONS + FILES_BESIDE)
    sockets: dict[int, Any] = {}
    threads = ThreadedTaskDispatcher()
    threads.set_thread_count(adjustments.threads)
    servers = [
        Server(app, sockets, behind_proxy=behind_proxy, dispatcher=threads, adj=adjustments, sockinfo=each)
        for each in adjustments.listen
    ]
    if len(servers) == 1:
        return servers[0]
    places = [(server.effective_host, server.effective_port) for server in servers]
    return MultiSocketServer(sockets, adjustments, places, threads, servers[-1].log_info)


def _allow_open_files(wanted: int) -> None:
    """Raise the number of files this process may open, as far as the system lets it; many start at 1,024."""
    if sys.platform == "win32":
        return
    import resource  # noqa: PLC0415 - not there on Windows

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        most = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))


def _address(channel: Channel) -> str:
    return str(channel.addr[0])
