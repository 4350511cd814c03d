"""Settings are checked at the start, and a bad one is named in one sentence."""

from __future__ import annotations

import stat
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import platformdirs
import pytest

from app.settings import SettingProblem, Settings


def read(tmp_path: Path, **environ: str) -> Settings:
    return Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path / "data"), **environ})


def test_without_settings_the_database_is_a_file_in_the_data_folder(tmp_path: Path) -> None:
    settings = read(tmp_path)
    assert settings.database_url == f"sqlite:///{tmp_path / 'data' / 'plumbfall.db'}"
    assert (settings.port, settings.threads, settings.proxy_hops, settings.secure) == (8480, 24, 0, False)


def test_the_signing_key_is_made_once_and_is_the_owners_only(tmp_path: Path) -> None:
    first, second = read(tmp_path), read(tmp_path)
    assert first.secret_key == second.secret_key
    assert len(first.secret_key) == 64
    assert [file.name for file in (tmp_path / "data").iterdir()] == ["secret-key"]
    mode = stat.S_IMODE((tmp_path / "data" / "secret-key").stat().st_mode)
    assert mode == 0o600


def test_a_signing_key_is_made_also_where_files_cannot_have_two_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr("app.settings.os.link", no_links)
    key = read(tmp_path).secret_key
    assert [(file.name, file.read_text()) for file in (tmp_path / "data").iterdir()] == [("secret-key", key)]


@pytest.mark.parametrize("text", ["", "0", "65536", "80 80", "-1", "8e3", "٨٠٨٠"])
def test_a_port_that_is_no_port_is_named(tmp_path: Path, text: str) -> None:
    with pytest.raises(SettingProblem, match="PLUMBFALL_PORT"):
        read(tmp_path, PLUMBFALL_PORT=text)


@pytest.mark.parametrize("text", ["24", "-1", "7;17", "17:00", "7,,17", "٧"])
def test_hours_that_no_clock_shows_are_named(tmp_path: Path, text: str) -> None:
    with pytest.raises(SettingProblem, match="PLUMBFALL_BACKUP_HOURS"):
        read(tmp_path, PLUMBFALL_BACKUP_HOURS=text)


def test_hours_go_from_midnight_to_eleven_in_the_evening(tmp_path: Path) -> None:
    assert read(tmp_path, PLUMBFALL_BACKUP_HOURS="23, 0").backup_hours == (0, 23)
    assert read(tmp_path).backup_hours == (17,)


def test_the_log_is_plain_or_json(tmp_path: Path) -> None:
    assert [read(tmp_path, PLUMBFALL_LOG=word).log_form for word in ("", "plain", "json")] == [
        "plain",
        "plain",
        "json",
    ]
    with pytest.raises(SettingProblem, match="PLUMBFALL_LOG is “xml”: write plain or json"):
        read(tmp_path, PLUMBFALL_LOG="xml")


def test_backups_by_the_clock_are_set_and_never_those_of_a_demo(tmp_path: Path) -> None:
    assert read(tmp_path).backup_folder is None
    given = {"PLUMBFALL_BACKUP_FOLDER": str(tmp_path / "c"), "PLUMBFALL_BACKUP_HOURS": "17, 7,17"}
    settings = read(tmp_path, PLUMBFALL_BACKUP_KEEP="30", **given)
    assert settings.backup_folder == tmp_path / "c"
    assert (settings.backup_hours, settings.backup_keep) == ((7, 17), 30)
    assert settings.for_demo().backup_folder is None


def test_a_data_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    settings = Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path / "file" / "below")})
    with pytest.raises(SettingProblem, match="PLUMBFALL_DATA"):
        _ = settings.secret_key


@pytest.fixture
def usual(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's own data folder, and a current folder that is another one."""
    for system in ("home", "elsewhere"):
        (tmp_path / system).mkdir()
    monkeypatch.delenv("PLUMBFALL_DATA", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home" / "share"))
    monkeypatch.chdir(tmp_path / "elsewhere")
    return platformdirs.user_data_path("plumbfall", appauthor=False)


def test_the_data_folder_is_the_users_own_wherever_a_command_is_started(
    usual: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert tmp_path / "home" in usual.parents
    for folder in (tmp_path / "elsewhere", tmp_path):
        monkeypatch.chdir(folder)
        settings = Settings.from_environment({})
        assert (settings.data_folder, settings.folder_note) == (usual, "")
        assert settings.database_url == f"sqlite:///{usual / 'plumbfall.db'}"
    assert not usual.exists(), "reading the settings makes nothing"


@pytest.mark.parametrize("file", ["plumbfall.db", "secret-key"])
def test_an_instance_folder_with_data_in_the_current_folder_is_still_used_and_said(
    usual: Path, file: str
) -> None:
    here = Path.cwd() / "instance"
    here.mkdir()
    assert Settings.from_environment({}).data_folder == usual, "an empty one is another program's"
    (here / file).touch()
    settings = Settings.from_environment({})
    assert settings.data_folder == here
    assert str(usual) in settings.folder_note
    assert "other records" not in settings.folder_note
    usual.mkdir(parents=True)
    (usual / "plumbfall.db").touch()
    assert "other records" in Settings.from_environment({}).folder_note
    named = Settings.from_environment({"PLUMBFALL_DATA": "instance"})
    assert (named.data_folder, named.folder_note) == (here, "")


def test_the_demo_keeps_to_a_folder_and_a_key_of_its_own(tmp_path: Path) -> None:
    settings = read(tmp_path)
    demo = settings.for_demo()
    assert demo.data_folder == settings.data_folder / "demo"
    assert demo.database_url.startswith(f"sqlite:///{demo.data_folder}/")
    assert demo.secret_key != settings.secret_key
    for name in ("demo.db", "demo.db-journal", "demo.db-wal", "demo.db-shm"):
        (demo.data_folder / name).touch()
    settings.for_demo()
    assert [file.name for file in demo.data_folder.iterdir()] == ["secret-key"], "it begins without records"


def test_a_folder_made_for_the_data_is_its_owners_only(tmp_path: Path) -> None:
    assert read(tmp_path).secret_key
    assert stat.S_IMODE((tmp_path / "data").stat().st_mode) == 0o700


def test_a_signing_key_that_could_be_guessed_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SettingProblem, match="PLUMBFALL_SECRET_KEY"):
        Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path), "PLUMBFALL_SECRET_KEY": "physics"})


def test_a_key_file_that_was_cut_off_is_named_and_not_used(tmp_path: Path) -> None:
    (tmp_path / "secret-key").write_text("", encoding="ascii")
    with pytest.raises(SettingProblem, match="secret-key"):
        _ = Settings.from_environment({"PLUMBFALL_DATA": str(tmp_path)}).secret_key


# Both cities' offsets on that day are those of the IANA time zone database.
@pytest.mark.parametrize(
    ("zone", "day"), [("America/Los_Angeles", "2031-03-05"), ("Pacific/Auckland", "2031-03-06")]
)
def test_the_schools_day_is_its_zones_own(tmp_path: Path, zone: str, day: str) -> None:
    moment = datetime(2031, 3, 6, 7, 30, tzinfo=UTC)
    assert read(tmp_path, PLUMBFALL_TIME_ZONE=zone).local_day(moment).isoformat() == day


def test_without_a_zone_it_is_the_servers(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    moment = datetime(2031, 3, 6, 7, 30, tzinfo=UTC)
    monkeypatch.setenv("TZ", "America/Los_Angeles")
    time.tzset()
    try:
        assert read(tmp_path).local(moment).isoformat() == "2031-03-05T23:30:00-08:00"
    finally:
        monkeypatch.undo()
        time.tzset()


@pytest.mark.parametrize("text", ["Mars/Olympus", "../etc/passwd", "/etc/localtime", "UTC+1", "\x00"])
def test_a_zone_that_nobody_knows_is_named(tmp_path: Path, text: str) -> None:
    with pytest.raises(SettingProblem, match="PLUMBFALL_TIME_ZONE"):
        read(tmp_path, PLUMBFALL_TIME_ZONE=text)


@pytest.mark.parametrize(
    ("name", "field", "usual", "least", "most"),
    [
        ("PLUMBFALL_PORT", "port", 8480, 1, 65535),
        ("PLUMBFALL_PROXY_HOPS", "proxy_hops", 0, 0, 5),
        ("PLUMBFALL_THREADS", "threads", 24, 2, 200),
        ("PLUMBFALL_BACKUP_KEEP", "backup_keep", 14, 1, 1000),
    ],
)
def test_a_number_has_a_usual_value_and_bounds_that_it_names(
    tmp_path: Path, name: str, field: str, usual: int, least: int, most: int
) -> None:
    assert getattr(read(tmp_path), field) == usual
    for value in (least, most):
        assert getattr(read(tmp_path, **{name: str(value)}), field) == value
    for text in (str(least - 1), str(most + 1), "1.5", "", "²"):
        with pytest.raises(SettingProblem, match=f"{name} is .*write a whole number from {least} to {most}"):
            read(tmp_path, **{name: text})


def test_nothing_done_for_four_hours_ends_a_sign_in_unless_set(tmp_path: Path) -> None:
    assert read(tmp_path).idle == timedelta(hours=4)
    assert read(tmp_path, PLUMBFALL_IDLE_MINUTES="30").idle == timedelta(minutes=30)
    for text in ("4", "721", "long"):
        with pytest.raises(SettingProblem, match="write a whole number from 5 to 720"):
            read(tmp_path, PLUMBFALL_IDLE_MINUTES=text)


def test_a_day_ends_at_the_schools_midnight_also_when_the_clock_is_changed(tmp_path: Path) -> None:
    school = read(tmp_path, PLUMBFALL_TIME_ZONE="Europe/Berlin")
    # Clocks go forward on 30 March 2031 (Directive 2000/84/EC: the last Sunday of March).
    assert school.midnight_after(date(2031, 3, 29)) == datetime(2031, 3, 29, 23, tzinfo=UTC)
    assert school.midnight_after(date(2031, 3, 30)) == datetime(2031, 3, 30, 22, tzinfo=UTC)


def test_a_wrong_setting_is_shown_up_to_a_length_that_fits_a_line(tmp_path: Path) -> None:
    for name, kept in (("PLUMBFALL_PORT", 40), ("PLUMBFALL_TIME_ZONE", 40), ("PLUMBFALL_BASE_ADDRESS", 80)):
        with pytest.raises(SettingProblem) as said:
            read(tmp_path, **{name: "x" * 200})
        assert f"{name} is “{'x' * kept}”" in str(said.value)


def test_a_port_given_to_the_command_goes_before_the_environment(tmp_path: Path) -> None:
    environ = {"PLUMBFALL_DATA": str(tmp_path), "PLUMBFALL_PORT": "9000"}
    assert Settings.from_environment(environ, port=9001).port == 9001
    assert Settings.from_environment(environ).port == 9000


def test_a_key_of_thirty_two_characters_is_long_enough_and_one_that_is_made_has_twice_as_many(
    tmp_path: Path,
) -> None:
    assert read(tmp_path, PLUMBFALL_SECRET_KEY="k" * 32).secret_key == "k" * 32
    with pytest.raises(SettingProblem, match="fewer than 32 characters"):
        read(tmp_path, PLUMBFALL_SECRET_KEY="k" * 31)
    assert len(read(tmp_path).secret_key) == 64


def test_the_age_of_each_database_is_kept_in_a_file_of_its_own_whatever_the_password(tmp_path: Path) -> None:
    one, same, other = (
        read(tmp_path, DATABASE_URL=f"postgresql://{rest}").last_known
        for rest in ("a:b@host:5432/x", "a:c@host:5432/x", "a:b@host:5432/y")
    )
    assert one == same != other
    assert one is not None
    assert one.parent == tmp_path / "data"
    assert len(one.name.removeprefix("last-known-")) == 12
    assert read(tmp_path).for_demo().last_known is None
