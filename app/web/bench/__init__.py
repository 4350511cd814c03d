"""Pages for the phones of a bench."""

from app.web.bench.pages import blueprint

__all__ = ["blueprint"]
