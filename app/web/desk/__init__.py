"""Pages for the teacher: the desk, the planner and the cards."""

from app.web.desk import (
    bench_pages,
    board_pages,
    card_pages,
    code_pages,
    conduct_pages,
    decision_pages,
    download_pages,
    falls_pages,
    figures_text,
    history_pages,
    home_pages,
    lesson_pages,
    password_pages,
    plan_pages,
    planner_pages,
    rehearsal_pages,
)
from app.web.desk.blueprint import blueprint

__all__ = [
    "bench_pages",
    "blueprint",
    "board_pages",
    "card_pages",
    "code_pages",
    "conduct_pages",
    "decision_pages",
    "download_pages",
    "falls_pages",
    "figures_text",
    "history_pages",
    "home_pages",
    "lesson_pages",
    "password_pages",
    "plan_pages",
    "planner_pages",
    "rehearsal_pages",
]
