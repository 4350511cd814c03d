"""The department's practicals: the list with its filters, one year, all years, and how long they are kept."""

from app.web.department.archive import keeping, over_years, pages, year

__all__ = ["keeping", "over_years", "pages", "year"]
