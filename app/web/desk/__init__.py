"""Pages for the teacher: lesson, plan, runs and papers, each on a shelf of its own.

Importing the shelves declares their routes on the one blueprint. What they share stands beside them: the
guard, the way figures are written, a form as typed.
"""

from app.web.desk import figures_text, lesson, papers, password_pages, plan, runs
from app.web.desk.blueprint import blueprint

__all__ = ["blueprint", "figures_text", "lesson", "papers", "password_pages", "plan", "runs"]
