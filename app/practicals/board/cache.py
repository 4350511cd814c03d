"""Keeping a few results in this process's memory; nothing here matters to correctness."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class LastOnes(Generic[Key, Value]):
    """The last few values by key; the oldest are let go. Safe between threads."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[Key, Value] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: Key) -> Value | None:
        """The value, if it is still here."""
        with self._lock:
            return self._kept.get(key)

    def keep(self, key: Key, value: Value) -> None:
        """Keep a value in place of the one before."""
        with self._lock:
            self._kept[key] = value
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)


class WorkedOutOnce(Generic[Key, Value]):
    """Values by the question they answer; whoever asks while one is being worked out waits for that one."""

    def __init__(self, most: int) -> None:
        self._kept: LastOnes[Key, Value] = LastOnes(most)
        self._under_way: dict[Key, threading.Lock] = {}
        self._lock = threading.Lock()

    def of(self, question: Key, work_out: Callable[[], Value]) -> Value:
        """The answer, worked out at most once at a time. A failure is raised and not kept."""
        with self._lock:
            turn = self._under_way.setdefault(question, threading.Lock())
        with turn:
            answer = self._kept.get(question)
            if answer is None:
                answer = work_out()
                self._kept.keep(question, answer)
        with self._lock:
            self._under_way.pop(question, None)
        return answer
