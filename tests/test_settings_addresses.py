"""Which addresses a server listens at, and which ones it gives phones and teachers."""

from __future__ import annotations

import ipaddress
import socket
from pathlib import Path

import pytest

from app.settings import SettingProblem, lan_address, why_not_listening
from tests.test_settings import read


@pytest.mark.parametrize(
    "text", ["school.example", "ftp://school.example", "http://", "https://a.example?x=1"]
)
def test_a_base_address_that_no_phone_could_open_is_named(tmp_path: Path, text: str) -> None:
    with pytest.raises(SettingProblem, match="PLUMBFALL_BASE_ADDRESS"):
        read(tmp_path, PLUMBFALL_BASE_ADDRESS=text)


def test_the_configured_address_is_the_one_phones_are_given(tmp_path: Path) -> None:
    settings = read(tmp_path, PLUMBFALL_BASE_ADDRESS="https://physics.school.example/")
    assert settings.address_for_phones() == "https://physics.school.example"
    assert settings.secure


@pytest.mark.parametrize(
    ("environ", "address"),
    [
        ({}, "http://127.0.0.1:8480"),
        ({"PLUMBFALL_BASE_ADDRESS": "https://physics.school.example/"}, "https://physics.school.example"),
        ({"PLUMBFALL_HOST": "192.0.2.7"}, "http://192.0.2.7:8480"),
        ({"PLUMBFALL_HOST": "2001:db8::7"}, "http://[2001:db8::7]:8480"),
    ],
)
def test_a_teacher_is_given_an_address_that_answers(
    tmp_path: Path, environ: dict[str, str], address: str
) -> None:
    assert read(tmp_path, **environ).address_for_teacher() == address


@pytest.mark.parametrize(
    ("host", "port", "phones"),
    [("10.1.2.3", "8480", "http://10.1.2.3:8480"), ("fd00::7", "80", "http://[fd00::7]:80")],
)
def test_an_address_of_its_own_is_given_with_its_port(
    tmp_path: Path, host: str, port: str, phones: str
) -> None:
    settings = read(tmp_path, PLUMBFALL_HOST=host, PLUMBFALL_PORT=port)
    assert settings.address_for_phones() == settings.address_for_teacher() == phones
    assert not settings.secure
    assert not read(tmp_path, PLUMBFALL_BASE_ADDRESS="http://a.example").secure


def test_a_port_that_is_taken_is_said_with_what_to_do(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # as servers do
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        said = why_not_listening(read(tmp_path, PLUMBFALL_HOST="127.0.0.1", PLUMBFALL_PORT=str(port)))
        assert said is not None
        assert said.startswith(f"port {port} on 127.0.0.1 cannot be used (")
        with socket.create_connection(("127.0.0.1", port)) as phone:
            taken.accept()[0].close()  # first, so that the system keeps the port in mind for a while
            assert phone.recv(1) == b""
    assert why_not_listening(read(tmp_path, PLUMBFALL_HOST="127.0.0.1", PLUMBFALL_PORT=str(port))) is None


def test_the_address_on_the_network_is_one_that_a_phone_can_open() -> None:
    assert not ipaddress.ip_address(lan_address()).is_unspecified
