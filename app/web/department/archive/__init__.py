"""The department's practicals: the list with its filters, one year, all years, and how long they are kept."""

from app.web.department.archive import over_years, pages, retention, year

__all__ = ["over_years", "pages", "retention", "year"]
