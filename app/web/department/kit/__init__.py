"""The kit: the pieces and their checks, labels, the set-out sheet, and what the pieces do to results."""

from app.web.department.kit import labels, pages, set_out, shifts

__all__ = ["labels", "pages", "set_out", "shifts"]
