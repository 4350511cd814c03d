"""One thread for the linear algebra: a class's matrices are small, and threads only wait for each other."""

from __future__ import annotations

from contextlib import AbstractContextManager
from functools import cache

from threadpoolctl import ThreadpoolController


def one_thread() -> AbstractContextManager[object]:
    """While this is open, products of matrices use one thread of the process; then as many as before."""
    return _libraries().limit(limits=1, user_api="blas")  # type: ignore[no-any-return]


@cache
def _libraries() -> ThreadpoolController:
    """Looks for the loaded libraries once: that takes longer than many fits."""
    return ThreadpoolController()
