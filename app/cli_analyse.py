"""The command `analyse`: a run table in, the class's analysis out, without a server."""

from __future__ import annotations

import json
import math
import os
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from app.analysis.readings import ClassSettings
from app.physics.energy import STANDARD_GRAVITY_M_PER_S2
from app.translations.saying import LANGUAGES, catalogue, language_of, said_in
from app.words import N_, Message

if TYPE_CHECKING:
    from app.exports.class_in_table import ClassInTable

OF_THE_METAL = ("material", "accepted_J_per_kg_K", "accepted_source")
MOST_LISTED = 20


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


class FromTable(str):
    """What stands in for an option that is not given: in English for the command, `message` for a reader."""

    message: Message

    def __new__(cls, otherwise: object) -> FromTable:
        message = Message(N_("from the table, else %(otherwise)s"), {"otherwise": Message(str(otherwise))})  # type: ignore[dict-item]
        text = super().__new__(cls, message)
        text.message = message
        return text


@click.command()
@click.argument("runs_csv", metavar="RUNS.csv")
@click.option("--practical", help="Of several practicals in the file: its key, its title or its day.")
@click.option(
    "--material",
    show_default=FromTable(N_("lead")),
    help="The shot's metal.",
)
@click.option(
    "--accepted",
    type=_Positive(),
    show_default=FromTable(N_("the metal's")),
    help="Accepted specific heat capacity, J/(kg·K).",
)
@click.option(
    "--gravity",
    type=_Positive(),
    show_default=FromTable(STANDARD_GRAVITY_M_PER_S2),
    help="g in m/s².",
)
@click.option(
    "--gravity-sd",
    type=_Positive(zero=True),
    show_default=FromTable(ClassSettings.u_gravity_m_per_s2),
    help="Standard uncertainty of g, m/s².",
)
@click.option(
    "--thermometer-step",
    type=_Positive(zero=True),
    show_default=FromTable(ClassSettings.thermometer_step_K),
    help="Smallest step of the thermometer, °C.",
)
@click.option(
    "--reading-sd",
    type=_Positive(zero=True),
    show_default=FromTable(ClassSettings.reading_sd_K),
    help="Standard deviation of one reading beyond the step, °C.",
)
@click.option(
    "--length-sd",
    type=_Positive(zero=True),
    show_default=FromTable(ClassSettings.length_sd_m),
    help="Standard uncertainty of the length of the fall, m.",
)
@click.option(
    "--room-temperature",
    type=float,
    show_default=FromTable(N_("not known")),
    help="Room temperature for runs without their own, °C.",
)
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
    practical: str | None,
    material: str | None,
    accepted: float | None,
    gravity: float | None,
    gravity_sd: float | None,
    thermometer_step: float | None,
    reading_sd: float | None,
    length_sd: float | None,
    room_temperature: float | None,
    thermometer_scale: float,
    common_technique: float,
    as_json: bool,
    language: str | None,
) -> None:
    """Analyse a class's runs from a table (“-” reads standard input).

    What the class shares, such as the accepted value, g and the thermometer's step, is taken from the table's
    columns where it has them, as in the table that a practical's page gives out.
    """
    # numpy and scipy come with the analysis; the other commands do not need to wait for them.
    from app.analysis.analyse import analyse_class  # noqa: PLC0415
    from app.analysis.views.json import as_plain_data  # noqa: PLC0415
    from app.exports.class_in_table import classes_in_table  # noqa: PLC0415
    from app.exports.run_table import LARGEST_BYTES  # noqa: PLC0415
    from app.exports.summary_text import summary_text  # noqa: PLC0415
    from app.exports.table_text import RunTableProblem  # noqa: PLC0415

    if room_temperature is not None and not math.isfinite(room_temperature):
        raise click.UsageError("--room-temperature must be a number.")
    language = language or language_of(os.environ)
    try:
        found = classes_in_table(
            sys.stdin.buffer.read(LARGEST_BYTES + 1) if runs_csv == "-" else Path(runs_csv)
        )
    except RunTableProblem as problem:
        raise click.UsageError(said_in(language, problem.message)) from problem
    given = {
        "material": material,
        "accepted_J_per_kg_K": accepted,
        "gravity_m_per_s2": gravity,
        "u_gravity_m_per_s2": gravity_sd,
        "thermometer_step_K": thermometer_step,
        "reading_sd_K": reading_sd,
        "length_sd_m": length_sd,
        "room_temperature_C": room_temperature,
        "thermometer_scale": thermometer_scale,
        "common_technique": common_technique,
    }
    chosen = _chosen(found, practical, language)
    said = {name: value for name, value in given.items() if value is not None}
    settings = _settings(chosen.shared, said, language)
    result = analyse_class(chosen.runs, settings)
    if as_json:
        click.echo(json.dumps(as_plain_data(result), ensure_ascii=False, indent=1, allow_nan=False))
    else:
        click.echo(summary_text(result, language), nl=False)


def _chosen(found: Sequence[ClassInTable], practical: str | None, language: str) -> ClassInTable:
    """The practical that was asked for; a usage error where there is not just one."""
    called = [one for one in found if practical is None or one.is_called(practical)]
    if len(called) == 1:
        return called[0]
    if called:
        sentence = N_(
            "This file holds the runs of several practicals. Choose one with --practical KEY: %(listed)s"
        )
    else:
        sentence = N_("No practical in this file is called %(typed)s. There are: %(listed)s")
    of = called or found
    listed = "; ".join(f"{one.key} ({one.day}, {one.title})" for one in of[:MOST_LISTED])
    more = f"; … ({len(of)})" if len(of) > MOST_LISTED else ""
    values = {"typed": practical or "", "listed": listed + more}
    raise click.UsageError(said_in(language, Message(sentence, values)))


def _settings(
    shared: Mapping[str, float | str], given: Mapping[str, float | str], language: str
) -> ClassSettings:
    """What the class shares: as given, else as the table says, else the usual.

    A metal that is given leaves the table's accepted value behind, which is another metal's; a usage error
    for a metal that has no value in the tool's own table.
    """
    from app.physics.materials import MATERIALS, u_accepted_J_per_kg_K  # noqa: PLC0415 - only needed here

    taken = {
        name: value for name, value in shared.items() if not (name in OF_THE_METAL and "material" in given)
    }
    taken = {"material": ClassSettings.material, **taken, **given}
    material = str(taken["material"])
    if "accepted_J_per_kg_K" in given:
        taken["accepted_source"] = said_in(language, Message(N_("given by hand")))
    elif "accepted_J_per_kg_K" not in taken:
        known = MATERIALS.get(material.lower())
        if known is None:
            refusal = Message(
                N_("%(typed)s is not in the table (%(metals)s): give its value with --accepted."),
                {"typed": material, "metals": ", ".join(MATERIALS)},
            )
            raise click.UsageError(said_in(language, refusal))
        taken["accepted_J_per_kg_K"] = known.accepted_J_per_kg_K
        taken["accepted_source"] = catalogue(language).gettext(known.accepted_source)
    taken["u_accepted_J_per_kg_K"] = u_accepted_J_per_kg_K(material, float(taken["accepted_J_per_kg_K"]))
    return ClassSettings(**taken)  # type: ignore[arg-type]
