"""A part of a setting: so many classes, with a seed and a file of their own."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from zlib import crc32

import numpy as np

from tests.benchmarks.calibration.one_class import one_class
from tests.benchmarks.calibration.settings import SETTINGS


@dataclass(frozen=True)
class Part:
    """Number `number` of a setting's parts."""

    folder: Path
    setting: str
    number: int
    classes: int

    @property
    def stem(self) -> str:
        return "".join(sign if sign.isalnum() else "_" for sign in self.setting)

    @property
    def file(self) -> Path:
        return self.folder / f"{self.stem}.{self.number}.json"


def run_part(part: Part) -> str:
    """Simulate and analyse the classes of one part, and write what came out; returns the setting's name.

    The seed follows from the setting's name and the part's number: adding a setting changes no other.
    """
    setting = SETTINGS[part.setting]
    rng = np.random.default_rng([crc32(part.setting.encode()), part.number])
    results = [one_class(rng, setting) for _ in range(part.classes)]
    unfinished = part.file.with_suffix(".unfinished")
    unfinished.write_text(json.dumps(results), encoding="utf-8")
    unfinished.rename(part.file)
    return part.setting
