"""Past practicals brought in: a file of this tool at once, another's table step by step."""

from app.web.department.bring_in import file, table

__all__ = ["file", "table"]
