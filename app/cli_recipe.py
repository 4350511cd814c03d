"""The command that prints recipes: how Plumbfall is run behind a proxy, as a service, in a container."""

from __future__ import annotations

import click

from app.settings import Settings


@click.command()
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
