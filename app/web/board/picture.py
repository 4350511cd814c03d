"""What the wall shows at one moment: everything in a picture belongs to one revision and one step.

A picture holds nothing that its step has not revealed: before the accepted value's step neither that value
nor anything worked out from it is in here, so it cannot be in the page, the alternative texts or the figures.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass
from math import ceil

from cachetools import LRUCache

from app.analysis.results import ClassResult
from app.figures.alternative import Line, Table, alternative, table
from app.figures.beyond import beyond_the_interval
from app.figures.findings import COUNTED_ALIKE, finding, pull, unlike_the_others
from app.figures.levels import shown_levels, what_lanes_show
from app.practicals.benches.watch import BenchDetails
from app.practicals.board.reveal import BOARD_STEPS, STEP_NAMES, BoardState, question_at, step_reached
from app.practicals.board.snapshot import Snapshot
from app.records.choices import BenchProgress, BoardStep, PracticalState
from app.words import N_, Message

FIGURE_OF_STEP = {
    BoardStep.SPREAD: "spread",
    BoardStep.LINE: "line",
    BoardStep.PERCENT_ERROR: "accepted",
    BoardStep.SEPARATED: "separated",
    BoardStep.LEDGER: "ledger",
}
STEP_OF_FIGURE = {figure: step for step, figure in FIGURE_OF_STEP.items()}
COLUMNS = ((4, 16), (6, 24), (7, 35), (8, 48))
"""In how many columns so many benches stand at most."""
LINES_IN_A_TABLE, LINES_IN_A_BLOCK = 10, 12
"""A longer table is shown in equal blocks, in letters of the same size."""
FEWER_LINES = 3
"""Above a question for the class a table has so many less."""
PROGRESS_WORDS = {
    BenchProgress.JOINED: Message(N_("joined")),
    BenchProgress.START_READ: Message(N_("start read")),
    BenchProgress.COUNTING: Message(N_("counting")),
    BenchProgress.END_READ: Message(N_("end read")),
    BenchProgress.SENT: Message(N_("joined")),
}
NOT_JOINED = Message(N_("not joined"))
SENT = N_("runs: %(runs)s")
FIRST_RUN = Message(N_("No run yet. The first lands here."))
RUNS = N_("Runs: %(runs)s.")
REPORTED = N_("Benches that have sent a run: %(sent)s of %(benches)s. Runs: %(runs)s.")

# The results of the last few revisions, so that a page's figures are of the page's own revision even when
# the next run has come in meanwhile. A server without it answers 409 and the page asks for a newer picture.
_RECENT: LRUCache[tuple[str, int, int], ClassResult] = LRUCache(64)
_LOCK = threading.Lock()


@dataclass(frozen=True)
class Cell:
    """One bench in the grid of who has reported."""

    number: int
    runs: int
    words: Message
    joined: bool


@dataclass(frozen=True)
class ShownFigure:
    """One figure with all that stands beside it."""

    name: str
    alternative: tuple[Message, ...]
    table: Table
    blocks: tuple[tuple[Line, ...], ...]


@dataclass(frozen=True)
class Picture:
    """The wall."""

    practical_id: int
    title: str
    board: BoardState
    heading: Message
    findings: tuple[Message, ...]
    step_number: int
    steps: tuple[Message, ...]
    rehearsal: bool
    cells: tuple[Cell, ...]
    columns: int
    few_joined: bool
    join_code: str | None
    wifi_name: str
    figure: ShownFigure | None
    question: Message | str | None
    status: Message


def picture_of(snapshot: Snapshot, database_name: str) -> Picture:
    """The picture of this moment at the board's step."""
    board = snapshot.board
    name = FIGURE_OF_STEP.get(board.step)
    result = None if name is None else snapshot.result
    if result is not None:
        with _LOCK:
            _RECENT[database_name, snapshot.practical.practical_id, snapshot.revision] = result
    cells = _cells(snapshot) if name is None else ()
    question = question_at(snapshot.practical.plan, board.step)
    reported = _reported(snapshot)
    collecting = snapshot.practical.state == PracticalState.COLLECTING
    return Picture(
        practical_id=snapshot.practical.practical_id,
        title=snapshot.practical.title,
        board=board,
        heading=STEP_NAMES[board.step],
        findings=(reported,) if name is None else _findings(name, result),
        step_number=BOARD_STEPS.index(board.step) + 1,
        steps=tuple(STEP_NAMES[step] for step in BOARD_STEPS),
        rehearsal=snapshot.rehearsal,
        cells=cells,
        columns=next((c for c, most in COLUMNS if len(cells) <= most), 10),
        few_joined=3 * sum(cell.joined for cell in cells) < len(cells),
        join_code=snapshot.practical.join_code if collecting else None,
        wifi_name=snapshot.practical.wifi_name or "",
        figure=_shown(name, result, asked=question is not None) if name and result else None,
        question=question,
        status=Message(RUNS, {"runs": str(len(snapshot.runs))}),
    )


def result_for_figure(snapshot: Snapshot, database_name: str, revision: int, name: str) -> ClassResult | None:
    """The result a figure of this revision is drawn from; None where it may not be shown or is gone."""
    if name not in STEP_OF_FIGURE or not step_reached(snapshot.board.step, STEP_OF_FIGURE[name]):
        return None
    if snapshot.revision == revision:
        return snapshot.result
    with _LOCK:
        return _RECENT.get((database_name, snapshot.practical.practical_id, revision))


def _findings(name: str, result: ClassResult | None) -> tuple[Message, ...]:
    if result is None:
        return (FIRST_RUN,)
    said: list[Message | None] = [finding(name, result)]
    if name == "line" and not shown_levels(result):
        said.append(pull(result))
    if name == "spread":
        lanes = what_lanes_show(result)
        # With lanes the figure itself says the class value, over its band.
        said = [lanes, COUNTED_ALIKE] if lanes else said
        said.append(unlike_the_others(result))
    said.append(beyond_the_interval(name, result))
    return tuple(sentence for sentence in said if sentence is not None)


def _shown(name: str, result: ClassResult, *, asked: bool) -> ShownFigure:
    numbers = table(name, result)
    return ShownFigure(
        name, alternative(name, result), numbers, _blocks(numbers.lines, FEWER_LINES if asked else 0)
    )


def _blocks(lines: tuple[Line, ...], fewer: int) -> tuple[tuple[Line, ...], ...]:
    """The lines as they stand beside a figure: all in one table, or in blocks as equal as can be."""
    in_a_table, in_a_block = LINES_IN_A_TABLE - fewer, LINES_IN_A_BLOCK - fewer
    how_many = 1 if len(lines) <= in_a_table else max(2, ceil(len(lines) / in_a_block))
    length = ceil(len(lines) / how_many) or 1
    return tuple(lines[start : start + length] for start in range(0, len(lines), length))


def _cells(snapshot: Snapshot) -> tuple[Cell, ...]:
    joined = {bench.number: bench for bench in snapshot.benches}
    numbers = sorted({*range(1, snapshot.practical.plan.planned_benches + 1), *joined})
    return tuple(_cell(number, joined.get(number), len(snapshot.runs_of(number))) for number in numbers)


def _cell(number: int, bench: BenchDetails | None, runs: int) -> Cell:
    if runs:
        words = Message(SENT, {"runs": str(runs)})
    else:
        words = PROGRESS_WORDS.get(bench.progress, NOT_JOINED) if bench else NOT_JOINED
    return Cell(number, runs, words, joined=bench is not None)


def _reported(snapshot: Snapshot) -> Message:
    benches = max(snapshot.practical.plan.planned_benches, len(snapshot.benches))
    counts = {
        "sent": str(len({run.bench_number for run in snapshot.runs})),
        "benches": str(benches),
        "runs": str(len(snapshot.runs)),
    }
    return Message(REPORTED, counts)
