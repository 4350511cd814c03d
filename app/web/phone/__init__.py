"""Pages for the phones of a bench: joining, typing a run step by step, its own runs.

Everything works by post and reload; scripts make it quicker and keep readings while the network is away. No
value of another bench is shown before the teacher reveals it.
"""

from app.web.phone import class_now, how, ice_point, joining, run, runs, sending, waiting
from app.web.phone.blueprint import blueprint

__all__ = [
    "blueprint",
    "class_now",
    "how",
    "ice_point",
    "joining",
    "run",
    "runs",
    "sending",
    "waiting",
]
