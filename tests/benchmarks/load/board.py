"""A board after a new run: the analysis and the figure, beside drawing the same figure with matplotlib alone.

Then many boards ask for one figure of one revision at once: how often was it drawn?
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from statistics import median

from app.analysis.analyse import analyse_class
from app.figures import gallery, studio
from app.figures.studio import Drawing, Studio
from app.web.board.picture import FIGURE_OF_STEP
from app.words import Message
from tests.analysis.classes import LEAD, simulated_runs
from tests.benchmarks.rows import ROUNDS, Row

BENCHES, BOARDS = 12, 40


def rows() -> Iterator[Row]:
    """The rows of this benchmark, in processor time."""
    runs = simulated_runs(1, benches=BENCHES)
    result = analyse_class(runs, LEAD)
    for name in FIGURE_OF_STEP.values():
        wanted = Drawing("benchmark", 1, 1, name, "wall", "en", "bright")

        def alone(name=name) -> object:
            """The figure out of numbers that are there, drawn and written by matplotlib."""
            figure = gallery.build(name, result, _say, size="wall", room="bright")
            return gallery.write_svg(figure)

        def new_run(wanted=wanted, start=iter(range(1, 1000))) -> object:  # noqa: B008
            changed = replace(runs[0], end_temperature_C=runs[0].end_temperature_C + 0.001 * next(start))
            return Studio().draw(wanted, analyse_class([changed, *runs[1:]], LEAD), _say)

        new_run(), alone()
        pairs = [(_seconds(new_run), _seconds(alone)) for _ in range(ROUNDS)]
        ours, theirs = (1000 * median(side) for side in zip(*pairs, strict=True))
        ratio = median(own / other for own, other in pairs)
        yield Row(
            f"board after a new run: {name}",
            "matplotlib drawing the same figure",
            ours,
            theirs,
            "ms",
            ratio,
            "1.5",
            ROUNDS,
        )
        yield _drawn_once(wanted, result)


def _drawn_once(wanted: Drawing, result: object) -> Row:
    drawn, kept = [], studio._drawn
    studio._drawn = lambda *args: drawn.append(1) or kept(*args)  # type: ignore[func-returns-value]
    try:
        shared = Studio()
        with ThreadPoolExecutor(BOARDS) as boards:
            list(boards.map(lambda _: shared.draw(wanted, result, _say), range(BOARDS)))  # type: ignore[arg-type]
    finally:
        studio._drawn = kept
    return Row(f"  drawn for {BOARDS} boards", "", len(drawn), None, "times", None, "1")


def _seconds(act: Callable[[], object]) -> float:
    began = time.process_time()
    act()
    return time.process_time() - began


def _say(message: Message | str | None) -> str:
    return (
        "" if message is None else message if isinstance(message, str) else message.template % message.values
    )
