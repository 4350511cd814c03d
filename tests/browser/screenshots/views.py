"""What there is to be seen: the addresses by name, and how a reader may meet them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from app.practicals.board.reveal import BOARD_STEPS
from tests.browser.screenshots.scenes import Scenes
from tests.practicals.a_class import AClass

LANGUAGES = ("en", "de", "ar")
THEMES = ("light", "dark")
ROOMS = ("bright", "dark")
DESK_WINDOWS = ((360, 740), (768, 1024), (1024, 768), (1280, 800), (1920, 1080))
WALL_WINDOWS = ((1024, 768), (1280, 720), (1920, 1080))
PHONE_WINDOWS = ((360, 740), (768, 1024))


@dataclass(frozen=True)
class View:
    """One page in one state; `step` is the wall's."""

    name: str
    path: str
    group: AClass | None = None
    step: str = ""


def desk_views(scenes: Scenes) -> Iterator[View]:
    """Every page of a signed-in teacher."""
    yield View("desk-home", "/desk/")
    yield View("desk-new", "/desk/new")
    yield View("desk-first", "/desk/first")
    yield View("desk-falls", "/desk/falls")
    yield View("desk-password", "/desk/password")
    yield View("desk-nothing", "/desk/nothing-here")
    yield View("department-archive", "/department/")
    yield View("department-teachers", "/department/teachers")
    yield View("department-deleted", "/department/deleted")
    for name in ("planned", "empty", "busy", "paused", "finished", "many"):
        yield View(f"lesson-{name}", f"/desk/{getattr(scenes, name).practical_id}/")
    for name in ("empty", "busy"):
        yield View(f"decisions-{name}", f"/desk/{getattr(scenes, name).practical_id}/decisions")
    busy = f"/desk/{scenes.busy.practical_id}"
    for page in ("plan", "planner", "history", "code", "copy", "delete", "enter", "grid", "falls", "bench/9"):
        yield View(f"desk-{page.replace('/', '-')}", f"{busy}/{page}")
    yield View("planner-planned", f"/desk/{scenes.planned.practical_id}/planner")
    yield View("code-planned", f"/desk/{scenes.planned.practical_id}/code")
    yield View("desk-correct", f"{busy}/run/{scenes.run_id(scenes.busy)}/correct")
    for paper in ("A4", "Letter"):
        for each in (1, 2):
            yield View(f"cards-{paper}-{each}", f"{busy}/cards?paper={paper}&per_page={each}")
    for name in ("empty", "busy", "most"):
        yield View(f"report-{name}", f"/board/{getattr(scenes, name).practical_id}/report")


def wall_views(scenes: Scenes) -> Iterator[View]:
    """Every step of the wall, for few and many benches, and before the first run."""
    for step in BOARD_STEPS:
        for name in ("empty", "four", "busy", "many", "most"):
            group: AClass = getattr(scenes, name)
            yield View(f"wall-{step.replace(' ', '-')}-{name}", f"/board/{group.practical_id}", group, step)
    yield View("wall-paused", f"/board/{scenes.paused.practical_id}", scenes.paused)
