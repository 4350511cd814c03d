"""The commands. An error is one line on standard error and exit status 2."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from app.cli_analyse import analyse
from app.cli_keeping import backup, move, restore, upgrade
from app.cli_records import add_teacher, backups_told, doctor, opened, set_head, set_password, set_role
from app.reach.addresses import plain_http_warning
from app.settings import SettingProblem, Settings, why_not_listening

if TYPE_CHECKING:
    from app.records.engine import Database
    from app.records.running import Mark


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="plumbfall", prog_name="plumbfall")
def commands() -> None:
    """The falling-shot practical for a whole class."""


for command in (
    add_teacher,
    analyse,
    backup,
    doctor,
    move,
    restore,
    set_head,
    set_password,
    set_role,
    upgrade,
):
    commands.add_command(command)


port_option = click.option(
    "--port", type=click.IntRange(1, 65535), help="Port to listen on (else PLUMBFALL_PORT, else 8480)."
)


@commands.command()
@port_option
def serve(port: int | None) -> None:
    """Bring the database up to date and serve the pages."""
    from app.records.running import serving_from  # noqa: PLC0415 - with the records, which `analyse` needs not

    gc.disable()  # until all is loaded (`_run`)
    settings = Settings.from_environment(port=port)
    _require_port(settings)
    database = opened(settings)
    with serving_from(database) as mark:
        _tidied(database, settings)
        _run(settings, mark, first_code=_first_code(database))


@commands.command()
@port_option
@click.option("--load-only", is_flag=True, help="Load the demo class and print its sign-in, without serving.")
def demo(port: int | None, load_only: bool) -> None:
    """Load a made-up school with one class, then serve it.

    It lives in a folder of its own, made anew each time, so it never mixes with real records.
    """
    from app.practicals.made_up.demo import load_demo  # noqa: PLC0415 - the simulator brings numpy with it
    from app.records.engine import Database  # noqa: PLC0415
    from app.records.running import refuse_beside_a_server, serving_from  # noqa: PLC0415

    gc.disable()  # until all is loaded (`_run`)
    settings = Settings.from_environment(port=port)
    if not load_only:
        _require_port(settings)  # before anything is made anew: a demo that is running keeps its class
    refuse_beside_a_server(Database(settings.demo_address))
    settings = settings.for_demo()
    database = opened(settings)
    loaded = load_demo(database, now=datetime.now(UTC))
    made = (
        f"  sign-in     {loaded.teacher.login}",
        f"  password    {loaded.password}   (made for this run)",
        f"  code        {loaded.join_code}",
    )
    if load_only:
        click.echo("\n".join(made))
        return
    with serving_from(database) as mark:
        _run(settings, mark, made)


@commands.command()
@click.argument("name", required=False)
def recipe(name: str | None) -> None:
    """Print a recipe for running Plumbfall, filled with these settings; without a name, list them."""
    from app.recipes import RECIPES  # noqa: PLC0415 - only this command reads package files

    if name is None:
        for one in RECIPES.values():
            click.echo(f"{one.name:<12}  {one.what_for}")
        return
    if name not in RECIPES:
        raise click.UsageError(f"There is no recipe “{name}”; there are: {', '.join(RECIPES)}.")
    click.echo(RECIPES[name].text(Settings.from_environment()), nl=False)


def _tidied(database: Database, settings: Settings) -> None:
    # Brings the records' models with it, which `analyse` does not need.
    from app.practicals.people.access import end_sign_ins_of_older_records  # noqa: PLC0415
    from app.practicals.upkeep.tidying import tidy  # noqa: PLC0415

    now = datetime.now(UTC)
    if (back := end_sign_ins_of_older_records(database, now=now, starting=True)) is not None:
        click.echo(back.sentence)
    gone = tidy(database, now=now, today=settings.local_day(now))
    if gone:
        click.echo(f"Practicals past their delete-after day, now deleted: {gone}.")


def _require_port(settings: Settings) -> None:
    if (reason := why_not_listening(settings)) is not None:
        raise click.ClickException(reason)


def _first_code(database: Database) -> str | None:
    """A code for the first head where nobody can sign in yet: printed, and kept as a digest in memory."""
    from app.practicals.people.credentials import new_join_code  # noqa: PLC0415
    from app.practicals.people.first_head import nobody_yet  # noqa: PLC0415

    return new_join_code() if nobody_yet(database) else None


def _run(settings: Settings, mark: Mark, more: Sequence[str] = (), first_code: str | None = None) -> None:
    from app import create_app  # noqa: PLC0415 - the web parts are not needed by the other commands
    from app.serving import serve as serve_app  # noqa: PLC0415

    application = create_app(settings)
    if first_code is not None:
        from app.practicals.people.credentials import digest  # noqa: PLC0415
        from app.web.department.people.sign_in import FIRST_CODE  # noqa: PLC0415

        application.extensions[FIRST_CODE] = digest(first_code)
        more = (
            *more,
            f"  first head  nobody can sign in yet: type the code {first_code} at the teacher's address",
        )
    click.echo("Plumbfall is ready. Stop it with Ctrl-C.")
    click.echo(f"  teacher     {settings.address_for_teacher()}/desk/")
    click.echo(f"  phones      {settings.address_for_phones()}/")
    if (backups := backups_told(settings)) is not None:
        click.echo(f"  backups     {backups.text}")
    if (warning := plain_http_warning(settings)) is not None:
        click.echo(f"  warning     {warning}")
    for line in more:
        click.echo(line)
    sys.stdout.flush()
    # What a start makes, stays: looking through it for rubbish takes a fifth of the start, and later holds up
    # whoever asks just then.
    gc.freeze()
    gc.enable()
    serve_app(application, settings, mark)


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
    finally:
        gc.enable()


def _one_line(error: Exception) -> str | None:
    """A sentence for a failure of the settings, the records or the system; None for a defect of ours."""
    from app.records.errors import Problem  # noqa: PLC0415 - only when something failed

    if isinstance(error, Problem | SettingProblem):
        return str(error)
    if isinstance(error, OSError):
        return f"{error.filename}: {error.strerror}" if error.filename else f"{error.strerror or error}"
    return None
