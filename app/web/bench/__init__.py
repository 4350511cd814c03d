"""Pages for the phones of a bench."""

from app.web.bench import entry, ours, run, runs, sending
from app.web.bench.blueprint import blueprint

__all__ = ["blueprint", "entry", "ours", "run", "runs", "sending"]
