"""The commands. An error is one line on standard error and exit status 2."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from app.cli_analyse import analyse
from app.cli_upkeep import backup, set_password
from app.settings import SettingProblem, Settings, why_not_listening

if TYPE_CHECKING:
    from app.records.engine import Database


class CommandProblem(click.ClickException):
    """One line for the person at the keyboard."""

    exit_code = 2

    def show(self, file: object = None) -> None:
        click.echo(f"plumbfall: {self.message}", err=True)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="plumbfall", prog_name="plumbfall")
def commands() -> None:
    """The falling-shot practical for a whole class."""


for command in (analyse, backup, set_password):
    commands.add_command(command)


@commands.command()
@click.option(
    "--port", type=click.IntRange(1, 65535), help="Port to listen on (else PLUMBFALL_PORT, else 8480)."
)
def serve(port: int | None) -> None:
    """Bring the database up to date and serve the pages."""
    settings = _settings(port)
    _require_port(settings)
    _tidied(_opened(settings))
    _announce(settings)
    _run(settings)


@commands.command()
@click.option(
    "--port", type=click.IntRange(1, 65535), help="Port to listen on (else PLUMBFALL_PORT, else 8480)."
)
@click.option("--load-only", is_flag=True, help="Load the demo class and print its sign-in, without serving.")
def demo(port: int | None, load_only: bool) -> None:
    """Load a made-up school with one class, then serve it.

    It lives in a database of its own, made anew each time, so it never mixes with real records.
    """
    from app.practicals.demo import load_demo  # noqa: PLC0415 - the simulator brings numpy with it

    settings = _settings(port)
    if not load_only:
        _require_port(settings)  # before anything is made anew: a demo that is running keeps its class
    settings = settings.for_demo()
    loaded = load_demo(_opened(settings), now=datetime.now(UTC))
    _announce(settings)
    click.echo(f"  sign-in     {loaded.login}")
    click.echo(f"  password    {loaded.password}   (made for this run)")
    click.echo(f"  code        {loaded.join_code}")
    if not load_only:
        _run(settings)


@commands.command("add-teacher")
@click.argument("login")
@click.option("--name", required=True, help="The name shown to colleagues.")
@click.option(
    "--department", default="Physics", show_default=True, help="The department the teacher belongs to."
)
@click.option("--head", is_flag=True, help="Head of department: sees all of its practicals.")
@click.password_option(help="Asked for when not given.")
def add_teacher(login: str, name: str, department: str, head: bool, password: str) -> None:
    """Add a teacher who can sign in."""
    from app.practicals import teachers  # noqa: PLC0415 - password hashing is only needed here

    try:
        teachers.add_teacher(
            _opened(_settings()),
            login=login,
            name=name,
            department=department,
            is_head=head,
            password=password,
            now=datetime.now(UTC),
        )
    except teachers.TeacherProblem as problem:
        raise CommandProblem(str(problem)) from problem
    click.echo(f"{name} can sign in as {login}.")


@commands.command()
def doctor() -> None:
    """Say what this installation stands on, and what is wrong with it."""
    from app.records.doctor import examine  # noqa: PLC0415 - opens the database driver

    settings = _settings()
    findings = examine(settings.database_url, settings.data_folder)
    for finding in findings:
        click.echo(f"{'ok ' if finding.good else 'BAD'}  {finding.subject:<22} {finding.text}")
    click.echo(f"ok   {'address for phones':<22} {settings.address_for_phones()}")
    if not all(finding.good for finding in findings):
        raise CommandProblem("something above needs attention.")


def _settings(port: int | None = None) -> Settings:
    try:
        return Settings.from_environment(port=port)
    except SettingProblem as problem:
        raise CommandProblem(str(problem)) from problem


def _opened(settings: Settings) -> Database:
    # The database driver is not needed by `analyse`.
    from app.records.migrate import open_database  # noqa: PLC0415

    return open_database(settings.database_url)


def _tidied(database: Database) -> None:
    # Brings the records' models with it, which `analyse` does not need.
    from app.practicals.upkeep import tidy  # noqa: PLC0415

    gone = tidy(database, now=datetime.now(UTC))
    if gone.practicals:
        click.echo(f"Practicals past their delete-after day, now deleted: {gone.practicals}.")


def _require_port(settings: Settings) -> None:
    if (reason := why_not_listening(settings)) is not None:
        raise CommandProblem(reason)


def _announce(settings: Settings) -> None:
    click.echo("Plumbfall is ready. Stop it with Ctrl-C.")
    click.echo(f"  teacher     http://127.0.0.1:{settings.port}/desk/")
    click.echo(f"  phones      {settings.address_for_phones()}/")


def _run(settings: Settings) -> None:
    from app import create_app  # noqa: PLC0415 - the web parts are not needed by the other commands
    from app.serving import serve as serve_app  # noqa: PLC0415

    sys.stdout.flush()
    serve_app(create_app(settings), settings)


def main(arguments: Sequence[str] | None = None) -> None:
    """Entry point of the `plumbfall` command."""
    try:
        commands.main(arguments, prog_name="plumbfall", standalone_mode=False)
    except click.exceptions.Abort:
        sys.exit(130)
    except click.ClickException as problem:
        click.echo(f"plumbfall: {problem.format_message()}", err=True)
        sys.exit(2)
    except Exception as error:
        line = _one_line(error)
        if line is None:
            raise
        click.echo(f"plumbfall: {line}", err=True)
        sys.exit(2)


def _one_line(error: Exception) -> str | None:
    """A sentence for a failure of the records or the system; None for a defect of ours."""
    from app.records.errors import Problem  # noqa: PLC0415 - only when something failed

    if isinstance(error, Problem):
        return str(error)
    if isinstance(error, OSError):
        return f"{error.filename}: {error.strerror}" if error.filename else f"{error.strerror or error}"
    return None
