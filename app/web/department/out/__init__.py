"""Records taken away: the page that asks which, the file, and how far it is."""

from app.web.department.out import export, under_way

__all__ = ["export", "under_way"]
