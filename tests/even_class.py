"""Benches for a simulated class that differ in nothing but their mass."""

from __future__ import annotations

from dataclasses import replace

from app.physics.simulation.a_class import SimulatedBench


def even_class(
    benches: int,
    runs: int = 3,
    masses_kg: tuple[float, ...] = (0.24, 0.45, 0.66, 0.88),
    bench: SimulatedBench | None = None,
) -> tuple[SimulatedBench, ...]:
    """Benches numbered from 1, the masses dealt out in turn, otherwise all like `bench`.

    Three runs of even steps of mass, about 1 to 3.7, are invented, as a school might plan them.
    """
    pattern = SimulatedBench("") if bench is None else bench
    return tuple(
        replace(pattern, bench=str(i + 1), runs=runs, shot_mass_kg=masses_kg[i % len(masses_kg)])
        for i in range(benches)
    )
