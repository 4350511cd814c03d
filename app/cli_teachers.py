"""The commands about teachers: adding one, a forgotten password, who is head of the department."""

from __future__ import annotations

from datetime import UTC, datetime

import click

from app.cli_records import opened
from app.settings import Settings

FIRST_DEPARTMENT = "Physics"

# Password hashing and the records' models are loaded by the command that needs them.


@click.command("add-teacher")
@click.argument("login")
@click.option("--name", required=True, help="The name shown to colleagues.")
@click.option("--department", help="The department the teacher belongs to, where there are several.")
@click.option(
    "--new-department",
    help=f"Found this department; its first teacher is its head. The very first is “{FIRST_DEPARTMENT}” "
    "if none is named.",
)
@click.option("--head", is_flag=True, help="Head of department: runs all of its practicals, adds teachers.")
@click.password_option(help="Asked for when not given.")
def add_teacher(
    login: str, name: str, department: str | None, new_department: str | None, head: bool, password: str
) -> None:
    """Add a teacher who can sign in. The first of a department is its head."""
    from app.practicals.people import departments, teachers  # noqa: PLC0415

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
        is_head=head,
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
    from app.practicals.people import colleagues  # noqa: PLC0415

    database = opened(Settings.from_environment(), make=False)
    who = colleagues.set_head(database, login=login, is_head=not no_longer)
    told = "is no longer head" if no_longer else "is head"
    click.echo(f"{who.name} {told} of the department “{who.department}”.")
