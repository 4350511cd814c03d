"""Runs at the desk: one bench's, a run typed or corrected, decisions, the practical's history.

Views and the forms they read. What a decision would change is worked out from the class's snapshot; nothing
is decided by looking.
"""

from app.web.desk.runs import bench, decisions, history

__all__ = ["bench", "decisions", "history"]
