"""The commands about the records: who signs in, the doctor. Each says first which records they are.

The database driver, the models and password hashing are loaded by the command that needs them.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.reach.addresses import plain_http_warning
from app.settings import KEY_FILE, Settings

if TYPE_CHECKING:
    from app.records.choices import Role
    from app.records.engine import Database
    from app.records.finding import Finding


def opened(settings: Settings, *, make: bool = True, backed_up: bool = False) -> Database:
    """The records with their tables up to date, and their place said; made where there are none if `make`."""
    from app.records.migrate import open_database  # noqa: PLC0415

    database = open_database(
        settings.database_url, settings.last_known, make=make, backed_up=backed_up, told=click.echo
    )
    say_where(settings, database)
    return database


def say_where(settings: Settings, database: Database) -> None:
    """One line: the file or the address; a second one where it depends on the current folder."""
    place = database.path.absolute() if database.path else database.url.render_as_string(hide_password=True)
    click.echo(f"Records: {place}")
    if settings.folder_note:
        click.echo(settings.folder_note)


FIRST_DEPARTMENT = "Physics"


@click.command("add-teacher")
@click.argument("login")
@click.option("--name", required=True, help="The name shown to colleagues.")
@click.option("--department", help="The department the teacher belongs to, where there are several.")
@click.option(
    "--new-department",
    help="Found this department; its first teacher is its head. The very first is “Physics” if none is"
    " named.",
)
@click.option("--head", is_flag=True, help="Head of department: runs all of its practicals, adds teachers.")
@click.option("--technician", is_flag=True, help="Technician: the archive to read, the kit to change.")
@click.password_option(help="Asked for when not given.")
def add_teacher(
    login: str,
    name: str,
    department: str | None,
    new_department: str | None,
    head: bool,
    technician: bool,
    password: str,
) -> None:
    """Add a teacher who can sign in. The first of a department is its head."""
    from app.practicals.people import departments, teachers  # noqa: PLC0415
    from app.records.choices import Role  # noqa: PLC0415

    if head and technician:
        raise click.UsageError("Give either --head or --technician, not both.")
    if department is not None and new_department is not None:
        raise click.UsageError("Give either --department or --new-department, not both.")
    settings = Settings.from_environment()
    # A mistyped --department, or another user's folder, must not leave an empty school behind.
    database = opened(settings, make=department is None)
    if department is None and new_department is None:
        department = departments.only_department(database)
        new_department = FIRST_DEPARTMENT if department is None else None
    added = teachers.add_teacher(
        database,
        login=login,
        name=name,
        department=new_department or department or "",
        new_department=new_department is not None,
        role=Role.HEAD if head else Role.TECHNICIAN if technician else Role.TEACHER,
        password=password,
        now=datetime.now(UTC),
    )
    click.echo(f"{added.name} can sign in as {added.login}.")
    if new_department is not None:
        click.echo(f"{added.name} is head of the new department “{new_department.strip()}”.")


@click.command("set-password")
@click.argument("login")
@click.password_option(help="Asked for when not given.")
def set_password(login: str, password: str) -> None:
    """Give a teacher a new password and sign them out everywhere."""
    from app.practicals.people import colleagues  # noqa: PLC0415

    database = opened(Settings.from_environment(), make=False)
    name = colleagues.set_password(database, login=login, password=password, now=datetime.now(UTC))
    click.echo(f"{name} has a new password and is signed out everywhere.")


@click.command("set-head")
@click.argument("login")
@click.option("--no-longer", is_flag=True, help="Take it from the teacher instead. The last head stays.")
def set_head(login: str, no_longer: bool) -> None:
    """Make a teacher head of the department, beside those who are."""
    from app.records.choices import Role  # noqa: PLC0415

    name, department = _role_set(login, Role.TEACHER if no_longer else Role.HEAD)
    told = "is no longer head" if no_longer else "is head"
    click.echo(f"{name} {told} of the department “{department}”.")


@click.command("set-role")
@click.argument("login")
@click.argument("role", type=click.Choice(("teacher", "head", "technician")))
def set_role(login: str, role: str) -> None:
    """Make someone a teacher, a head or a technician of the department. The last head stays."""
    from app.records.choices import Role  # noqa: PLC0415

    name, department = _role_set(login, Role(role))
    click.echo(f"{name} is {role} of the department “{department}”.")


def _role_set(login: str, role: Role) -> tuple[str, str]:
    from app.practicals.people import colleagues  # noqa: PLC0415

    database = opened(Settings.from_environment(), make=False)
    return colleagues.set_role(database, login=login, role=role, now=datetime.now(UTC))


def backups_told(settings: Settings) -> Finding | None:
    """What a server with these settings backs up by the clock; None where no folder is set."""
    from app.records.engine import Database  # noqa: PLC0415
    from app.records.scheduled import finding_about_backups  # noqa: PLC0415

    if settings.backup_folder is None:
        return None
    where = (settings.backup_folder, settings.backup_hours, settings.backup_keep, settings.local)
    return finding_about_backups(Database(settings.database_url), *where, now=datetime.now(UTC))


@click.command()
@click.option(
    "--backups",
    type=click.Path(path_type=Path, file_okay=False, exists=True),
    help="Also look whether others on this machine can read the copies in this folder.",
)
@click.option(
    "--phones",
    is_flag=True,
    help="Look at how phones reach this server instead, and say what to try with a phone and what to do.",
)
def doctor(backups: Path | None, phones: bool) -> None:
    """Say what this installation stands on, and what is wrong with it."""
    from app.records.doctor import examine, findings_about_access  # noqa: PLC0415
    from app.records.finding import Finding  # noqa: PLC0415

    settings = Settings.from_environment()
    if phones:
        from app.cli_phones import say_about_phones  # noqa: PLC0415

        say_about_phones(settings)
        return
    findings = examine(
        settings.database_url, settings.data_folder, key_file=settings.data_folder / KEY_FILE, backups=backups
    )
    findings += findings_about_access(settings.database_url, settings.last_known)
    if (told := backups_told(settings)) is not None:
        findings.append(told)
    warning = plain_http_warning(settings)
    text = warning or settings.address_for_phones()
    findings.append(Finding("address for phones", text, good=warning is None))
    for finding in findings:
        click.echo(f"{'ok ' if finding.good else 'BAD'}  {finding.subject:<22} {finding.text}")
    if settings.folder_note:
        click.echo(settings.folder_note)
    if not all(finding.good for finding in findings):
        raise click.ClickException("something above needs attention.")
