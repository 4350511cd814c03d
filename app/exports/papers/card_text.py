"""What one bench card says: its numbers, the steps in order and what can hurt."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from app.physics.energy import expected_warming, fall, specific_fall_energy, start_below_room
from app.physics.materials import MATERIALS
from app.physics.rounding import round_significant, shortest
from app.words import N_, Message

PAPER_RUNS = {1: 4, 2: 3}
"""Rows of the reading table for when the Wi-Fi is down, by the cards on a page."""

PAPER_COLUMNS: tuple[tuple[Message, str], ...] = (
    (Message(N_("Run")), ""),
    (Message(N_("Shot mass")), "g"),
    (Message(N_("Tube length")), "cm"),
    (Message(N_("Inversions")), ""),
    (Message(N_("Start")), "°C"),
    (Message(N_("End")), "°C"),
    (Message(N_("Room")), "°C"),
)


@dataclass(frozen=True)
class CardPlan:
    """What a card needs to know about one bench, in SI units; None where the plan leaves it to the bench."""

    number: int
    material: str
    accepted_J_per_kg_K: Decimal
    gravity_m_per_s2: Decimal
    tube_length_m: Decimal
    end_allowance_m: Decimal
    inversions: int
    thermometer_step_K: Decimal
    shot_mass_kg: Decimal | None = None
    start_temperature_C: Decimal | None = None
    depth_measured: bool = False
    second_inversions: int | None = None
    """Of the second run alone."""
    ice_point_asked: bool = False


@dataclass(frozen=True)
class BenchCard:
    """One card, ready to be set in type; the sentences are still to be said in the reader's language."""

    number: int
    heading: str
    held_on: str
    link: str | None
    address: str | None
    code: str | None
    wifi_name: str
    figures: tuple[tuple[Message, Message], ...]
    steps: tuple[Message, ...]
    safety: tuple[Message, ...]


def bench_card(
    plan: CardPlan, *, heading: str, held_on: str, address: str | None, code: str | None, wifi_name: str = ""
) -> BenchCard:
    """The card of one bench. `address` is where phones reach the tool; None where nobody knows it."""
    link = f"{address}/j/{code}?bench={plan.number}" if address and code else None
    return BenchCard(
        number=plan.number,
        heading=heading,
        held_on=held_on,
        link=link,
        address=address,
        code=code,
        wifi_name=wifi_name,
        figures=_figures(plan),
        steps=_steps(plan),
        safety=MATERIALS[plan.material].safety,
    )


def grouped_code(code: str | None) -> str:
    """A join code in two groups, as it is read aloud."""
    return f"{code[: len(code) // 2]} {code[len(code) // 2 :]}" if code else ""


def warming_at_most_K(plan: CardPlan) -> float:
    """The warming if no heat stayed in the tube: e / c, in kelvin. The real one is smaller."""
    energy = specific_fall_energy(
        fall(float(plan.tube_length_m), float(plan.end_allowance_m)),
        max(plan.inversions, plan.second_inversions or 0),
        float(plan.gravity_m_per_s2),
    )
    return expected_warming(energy, 1.0, float(plan.accepted_J_per_kg_K))


def _figures(plan: CardPlan) -> tuple[tuple[Message, Message], ...]:
    metal = MATERIALS[plan.material].name
    lines: list[tuple[Message, Message]] = [(Message(N_("Metal")), metal)]
    if plan.shot_mass_kg is not None:
        lines.append((Message(N_("Shot mass")), _measure(plan.shot_mass_kg * 1000, "g")))
    lines += [
        *_inversions(plan),
        (Message(N_("Tube length")), _measure(plan.tube_length_m * 100, "cm")),
        _ends(plan),
        (Message(N_("Read to the nearest")), _measure(plan.thermometer_step_K, "°C")),
    ]
    if plan.ice_point_asked:
        lines.append((Message(N_("Thermometer in melting ice")), Message(N_("____ °C"))))
    if plan.start_temperature_C is not None:
        lines.append((Message(N_("Start at about")), _measure(plan.start_temperature_C, "°C")))
    return tuple(lines)


def _inversions(plan: CardPlan) -> list[tuple[Message, Message]]:
    """The count, or one for each of the first two runs."""
    if plan.second_inversions is None:
        return [(Message(N_("Inversions")), _count(plan.inversions))]
    return [
        (Message(N_("Inversions, run %(run)s"), {"run": str(run)}), _count(count))
        for run, count in enumerate((plan.inversions, plan.second_inversions), start=1)
    ]


def _count(inversions: int) -> Message:
    return Message(N_("%(number)s"), {"number": str(inversions)})


def _steps(plan: CardPlan) -> tuple[Message, ...]:
    return (
        _weigh(plan),
        _measure_tube(plan),
        _start(plan),
        Message(
            N_(
                "Take the thermometer out and close both caps tightly. Hold the caps alone, or wear gloves:"
                " hands warm the tube."
            )
        ),
        _turn(plan),
        Message(
            N_(
                "Stop, open the tube at once, lower the thermometer into the shot and read the highest"
                " temperature to the nearest %(step)s °C."
            ),
            {"step": shortest(plan.thermometer_step_K)},
        ),
        Message(
            N_("Send the readings from the phone. No network? Write them in the table and send them later.")
        ),
    )


def _turn(plan: CardPlan) -> Message:
    if plan.second_inversions is None:
        return Message(
            N_(
                "Turn the tube end over end %(count)s times, and count aloud. Each time, let the shot drop"
                " the whole length before you turn again. Turn about the middle: do not lift or"
                " lower the tube."
            ),
            {"count": str(plan.inversions)},
        )
    return Message(
        N_(
            "Turn the tube end over end, in run 1 to the count of %(first)s, in run 2 to %(second)s, and"
            " count aloud. Each time, let the shot drop the whole length before you turn again. Turn about"
            " the middle: do not lift or lower the tube."
        ),
        {"first": str(plan.inversions), "second": str(plan.second_inversions)},
    )


def _ends(plan: CardPlan) -> tuple[Message, Message]:
    """The end allowance, or the line on which the bench writes what it measures instead."""
    if plan.depth_measured:
        return Message(N_("Caps; depth of the shot")), Message(N_("____ cm; ____ cm"))
    return Message(N_("End allowance")), _measure(plan.end_allowance_m * 100, "cm")


def _measure_tube(plan: CardPlan) -> Message:
    if not plan.depth_measured:
        return Message(N_("Measure the tube from end to end, caps off. Write the length down."))
    return Message(
        N_(
            "Measure the tube from end to end, caps off. With the shot in, hold it upright and measure how"
            " deep the shot lies. Write down length, depth and what both caps take together."
        )
    )


def _weigh(plan: CardPlan) -> Message:
    if plan.shot_mass_kg is None:
        return Message(N_("Weigh your shot. Write down what the balance shows, with its unit."))
    return Message(
        N_("Weigh out about %(mass)s g of shot. Write down what the balance really shows, not the plan."),
        {"mass": shortest(plan.shot_mass_kg * 1000)},
    )


def _start(plan: CardPlan) -> Message:
    if plan.start_temperature_C is not None:
        return Message(
            N_(
                "Bring the closed tube with the shot in it to about %(start)s °C, and dry it outside. Put the"
                " thermometer into the shot in the tube, and read the start once it no longer changes."
            ),
            {"start": shortest(plan.start_temperature_C)},
        )
    below = round_significant(start_below_room(warming_at_most_K(plan)), 1)
    return Message(
        N_(
            "Chill the closed tube with the shot in it to about %(below)s °C below room temperature, and dry"
            " it outside. Put the thermometer into the shot in the tube, and read the start once it no longer"
            " changes."
        ),
        {"below": below},
    )


def _measure(value: Decimal, unit: str) -> Message:
    return Message(N_("%(number)s %(unit)s"), {"number": shortest(value), "unit": unit})
