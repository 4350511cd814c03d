"""The command `analyse`: a run table in, the class's analysis out, without a server."""

from __future__ import annotations

import json
import math
import os
import sys
from pathlib import Path

import click

from app.analysis.readings import ClassSettings
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.translations.saying import LANGUAGES, catalogue, language_of, said_in
from app.words import N_, Message


class _Positive(click.ParamType[float]):
    """A finite number, above zero (or not below it)."""

    name = "number"

    def __init__(self, zero: bool = False) -> None:
        self.zero = zero

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> float:
        try:
            number = float(str(value).replace(",", "."))
        except ValueError:
            self.fail(f"{value} is not a number.", param, ctx)
        if not math.isfinite(number) or number < 0 or (number == 0 and not self.zero) or number > 1e9:
            self.fail(f"{value} must be {'zero or ' if self.zero else ''}above zero.", param, ctx)
        return number


@click.command()
@click.argument("runs_csv", metavar="RUNS.csv")
@click.option("--material", default="lead", show_default=True, help="The shot's metal.")
@click.option(
    "--accepted", type=_Positive(), help="Accepted specific heat capacity, J/(kg·K); else from the table."
)
@click.option(
    "--gravity", type=_Positive(), default=STANDARD_GRAVITY_M_PER_S2, show_default=True, help="g in m/s²."
)
@click.option(
    "--gravity-sd",
    type=_Positive(zero=True),
    default=0.0,
    show_default=True,
    help="Standard uncertainty of g, m/s².",
)
@click.option(
    "--thermometer-step",
    type=_Positive(zero=True),
    default=ClassSettings.thermometer_step_K,
    show_default=True,
    help="Smallest step of the thermometer, °C.",
)
@click.option(
    "--reading-sd",
    type=_Positive(zero=True),
    default=0.0,
    show_default=True,
    help="Standard deviation of one reading beyond the step, °C.",
)
@click.option(
    "--length-sd",
    type=_Positive(zero=True),
    default=ClassSettings.length_sd_m,
    show_default=True,
    help="Standard uncertainty of the length of the fall, m.",
)
@click.option("--room-temperature", type=float, help="Room temperature for runs without their own, °C.")
@click.option(
    "--thermometer-scale",
    type=_Positive(zero=True),
    default=ClassSettings.thermometer_scale,
    show_default=True,
    help="Relative standard uncertainty of all thermometers' scale.",
)
@click.option(
    "--common-technique",
    type=_Positive(zero=True),
    default=ClassSettings.common_technique,
    show_default=True,
    help="Relative standard uncertainty of technique common to all benches.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON (in English).")
@click.option(
    "--language",
    type=click.Choice(list(LANGUAGES)),
    help="Language of the summary; else the terminal's (LC_ALL, LC_MESSAGES, LANG), if it is one of these.",
)
def analyse(
    runs_csv: str,
    material: str,
    accepted: float | None,
    gravity: float,
    gravity_sd: float,
    thermometer_step: float,
    reading_sd: float,
    length_sd: float,
    room_temperature: float | None,
    thermometer_scale: float,
    common_technique: float,
    as_json: bool,
    language: str | None,
) -> None:
    """Analyse a class's runs from a table (`-` reads standard input)."""
    # numpy and scipy come with the analysis; the other commands do not need to wait for them.
    from app.analysis.analyse import analyse_class  # noqa: PLC0415
    from app.analysis.views.json import as_plain_data  # noqa: PLC0415
    from app.exports.run_table import LARGEST_BYTES, read_run_table  # noqa: PLC0415
    from app.exports.summary_text import summary_text  # noqa: PLC0415
    from app.exports.table_text import RunTableProblem  # noqa: PLC0415
    from app.physics.materials import u_accepted_J_per_kg_K  # noqa: PLC0415

    if room_temperature is not None and not math.isfinite(room_temperature):
        raise click.UsageError("--room-temperature must be a number.")
    language = language or language_of(os.environ)
    accepted_value, source = _accepted(material, accepted, language)
    try:
        runs = read_run_table(sys.stdin.buffer.read(LARGEST_BYTES + 1) if runs_csv == "-" else Path(runs_csv))
    except RunTableProblem as problem:
        raise click.UsageError(said_in(language, problem.message)) from problem
    result = analyse_class(
        runs,
        ClassSettings(
            accepted_J_per_kg_K=accepted_value,
            accepted_source=source,
            material=material,
            gravity_m_per_s2=gravity,
            u_gravity_m_per_s2=gravity_sd,
            thermometer_step_K=thermometer_step,
            reading_sd_K=reading_sd,
            length_sd_m=length_sd,
            room_temperature_C=room_temperature,
            thermometer_scale=thermometer_scale,
            common_technique=common_technique,
            u_accepted_J_per_kg_K=u_accepted_J_per_kg_K(material, accepted_value),
        ),
    )
    if as_json:
        click.echo(json.dumps(as_plain_data(result), ensure_ascii=False, indent=1, allow_nan=False))
    else:
        click.echo(summary_text(result, language), nl=False)


def _accepted(material: str, accepted: float | None, language: str) -> tuple[float, str]:
    """The accepted value and where it is from; a usage error for a metal that is not in the table."""
    from app.physics.materials import MATERIALS  # noqa: PLC0415 - only this command needs the table

    if accepted is not None:
        return accepted, said_in(language, Message(N_("given by hand")))
    known = MATERIALS.get(material.lower())
    if known is None:
        refusal = Message(
            N_("%(typed)s is not in the table (%(metals)s): give its value with --accepted."),
            {"typed": material, "metals": ", ".join(MATERIALS)},
        )
        raise click.UsageError(said_in(language, refusal))
    return known.accepted_J_per_kg_K, catalogue(language).gettext(known.accepted_source)
