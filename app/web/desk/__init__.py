"""Pages for the teacher: lesson, plan, runs and papers, each on a shelf of its own.

Importing the modules that have routes declares them on the one blueprint. What the shelves share stands
beside it in `blueprint`: the practical of a page, the words for fields, metals and days.
"""

from app.web.desk.blueprint import blueprint
from app.web.desk.first import pages as first_pages
from app.web.desk.lesson import controls, hand_over, pages, phones
from app.web.desk.papers import cards, downloads, falls
from app.web.desk.plan import pages as plan_pages
from app.web.desk.plan import planner
from app.web.desk.runs import bench, decisions, grid, history, kept, too_fast

__all__ = [
    "bench",
    "blueprint",
    "cards",
    "controls",
    "decisions",
    "downloads",
    "falls",
    "first_pages",
    "grid",
    "hand_over",
    "history",
    "kept",
    "pages",
    "phones",
    "plan_pages",
    "planner",
    "too_fast",
]
