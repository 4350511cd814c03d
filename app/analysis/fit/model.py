"""The model of a class: what each warming should be, how it scatters, and what is known beforehand.

Energy balance of a run, with the leak taken at the middle of the run (x = 1/m, θ₀ = start − room):

    e = (c + C·x)·w + λ·x·N·(θ₀ + w/2)      so that      ŵ = p − λ·x·N·θ₀/q,   p = e/q,   q = c + C·x +
    λ·x·N/2

The end temperature stands on one side only: a run whose end is misread does not misplace its own leak.
Technique multiplies the energy, hence p, by 1 + a_b + r (bench and run); the thermometer adds δ:

    w = ŵ + p·(a_b + r) + δ,   a_b ~ N(0, τ² + (κ·f_b)²),   r ~ N(0, σ²),   δ ~ N(0, 2·(step²/12 + sd²))

f_b = C·x/(c + C·x) is the sink's share in bench b, κ how far the benches' sinks differ (relative).

A run is with probability 0.03 unlike the others: then its warming is anywhere about the class's typical one,
Student t with 3 degrees of freedom, half of that warming wide, and says nothing about the class. A bench is
with probability 0.03 unlike the others: then a_b has 0.3² more variance. (Box and Tiao, Biometrika 55 (1968)
119; Aitkin and Wilson, Technometrics 22 (1980) 325; both from memory.)

a_b is integrated out in closed form (a matrix of rank one for each bench), and a bench's likelihood is a sum
over which of its runs are like the others and whether the bench is.

Priors: flat in c (a bound far above all metals keeps a class that shows no warming proper), half-normal in C,
λ, τ and σ, half Student t in κ.

Coordinates, all of them without bounds: log S with S = c + C·x̄ at the class's median x̄, because S is what
readings fix whatever the masses; the probit of f = C·x̄/S; and for τ, σ, κ, λ the normal score of the prior,
z = Φ⁻¹(F(τ)), which is standard normal where the readings say nothing. A logarithm or a logit has an
exponential tail there, of which a proposal with a covariance catches half as many effective draws.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from scipy.special import ndtr, ndtri, stdtr, stdtrit

from app.analysis.fit.stacked import Stack
from app.physics.energy import warming_with_leak
from app.statistics.domain import Floats

SINK_SD_DOF = 2.0
FARTHEST = 4.0  # our own choice
PORTION = 512  # our own choice
"""Points whose cases are worked out together."""


@dataclass(frozen=True)
class Priors:
    """Scales of the priors, and the probabilities of being unlike the others.

    The half t of κ has 2 degrees of freedom: tubes are mostly alike, but some classes' tubes are not at all.
    """

    heat_capacity_J_per_kg_K: float = 5000.0  # our own choice
    heat_sink_J_per_K: float = 60.0  # our own choice
    leak_J_per_K_per_inversion: float = 0.1  # our own choice
    bench_sd: float = 0.06  # our own choice
    run_sd: float = 0.05  # our own choice
    sink_sd: float = 0.06  # our own choice
    unlike_run: float = 0.03  # our own choice: a slip in 33
    unlike_bench: float = 0.03  # our own choice
    unlike_bench_sd: float = 0.3  # our own choice
    unlike_run_width: float = 0.5  # our own choice

    def twice_as_wide(self) -> Priors:
        """For showing what the priors do to a result."""
        return replace(
            self,
            heat_sink_J_per_K=2 * self.heat_sink_J_per_K,
            leak_J_per_K_per_inversion=2 * self.leak_J_per_K_per_inversion,
            bench_sd=2 * self.bench_sd,
            run_sd=2 * self.run_sd,
            sink_sd=2 * self.sink_sd,
        )


class Parameters(NamedTuple):
    """What the coordinates mean; one entry for each draw. `leak` is zero where no room temperature is
    known."""

    heat_capacity: Floats
    heat_sink: Floats
    bench_sd: Floats
    run_sd: Floats
    sink_sd: Floats
    leak: Floats


@dataclass(frozen=True)
class ClassModel:
    """One class's likelihood and priors.

    `typical_slope` is the class's typical warming per energy in K·kg/J, about which an unlike run may lie;
    `typical_per_mass` is x̄ in 1/kg, `u_warming_K` the median of the runs' (each run has its own).
    """

    stacks: tuple[Stack, ...]
    typical_slope: float
    typical_per_mass: float
    u_warming_K: float
    with_leak: bool
    priors: Priors = Priors()

    @property
    def dimensions(self) -> int:
        """How many coordinates there are: of S, f, τ, σ, κ, and λ where there is a leak."""
        return 6 if self.with_leak else 5

    def parameters(self, points: Floats) -> Parameters:
        """Points of shape (draws, 5 or 6) as physical quantities."""
        scales, total = self.priors, np.exp(points[:, 0])
        return Parameters(
            total * ndtr(-points[:, 1]),
            total * ndtr(points[:, 1]) / self.typical_per_mass,
            _half_normal(points[:, 2], scales.bench_sd),
            _half_normal(points[:, 3], scales.run_sd),
            _half_student(points[:, 4], scales.sink_sd),
            _half_normal(points[:, 5], scales.leak_J_per_K_per_inversion)
            if self.with_leak
            else np.zeros(len(points)),
        )

    def point(
        self, total: float, share: float, bench_sd: float, run_sd: float, sink_sd: float, leak: float
    ) -> Floats:
        """The coordinates of S in J/(kg·K), f, τ, σ, κ and λ: the inverse of `parameters`, for one point; no
        score is farther out than `FARTHEST`."""
        scales = self.priors
        halves = (
            bench_sd / scales.bench_sd,
            run_sd / scales.run_sd,
            leak / scales.leak_J_per_K_per_inversion,
        )
        of_bench, of_run, of_leak = (-ndtri(2.0 * ndtr(-one)) for one in halves)
        of_sink = -ndtri(2.0 * stdtr(SINK_SD_DOF, -sink_sd / scales.sink_sd))
        scores = np.clip([ndtri(share), of_bench, of_run, of_sink, of_leak], -FARTHEST, FARTHEST)
        return np.array([np.log(total), *scores])[: self.dimensions]

    def log_posterior(self, points: Floats) -> Floats:
        """One entry for each point, up to a constant.

        Portion by portion: the arrays of all cases then stay in the processor's cache, which saves a third of
        the time.
        """
        portions = np.split(points, range(PORTION, len(points), PORTION))
        return np.concatenate([self._log_posterior(portion) for portion in portions])

    def _log_posterior(self, points: Floats) -> Floats:
        values = self.parameters(points)
        total = self.log_prior(points, values)
        for stack in self.stacks:
            total = total + log_sum(self.log_cases(stack, values), (2, 3)).sum(axis=1)
        return np.asarray(total)

    def log_prior(self, points: Floats, values: Parameters) -> Floats:
        """Half-normal in c and C times the volume that the coordinates stretch, dc dC = (S²/x̄) dlog S df
        with df = φ(z) dz; the other coordinates are standard normal."""
        squares = (
            np.square(values.heat_capacity / self.priors.heat_capacity_J_per_kg_K)
            + np.square(values.heat_sink / self.priors.heat_sink_J_per_K)
            + np.square(points[:, 1:]).sum(axis=1)
        )
        return np.asarray(2.0 * points[:, 0] - 0.5 * squares)

    def log_cases(self, stack: Stack, values: Parameters) -> Floats:
        """log(probability × likelihood) of each bench in each case; shape (draws, benches, cases, 2).

        The last axis: the bench is like the others, or unlike. With A = Σp²/v, B = Σp·y/v and D = Σ(y²/v +
        log 2πv) over the runs that are like the others, v = σ²p² + u(w)², y = w − ŵ, and t² the variance of
        a_b: log N = −½·(D + log(1 + t²A) − t²B²/(1 + t²A)).
        """
        scales = self.priors
        from_falls, expected = self.expected(stack, values)
        variance = np.square(values.run_sd[:, None, None] * from_falls) + np.square(stack.u_warming_K)
        weighted, away = from_falls / variance, stack.warming_K - expected
        terms = np.stack((
            from_falls * weighted,
            weighted * away,
            np.square(away) / variance + np.log(2.0 * np.pi * variance),
        ))  # fmt: skip
        a, b, d = (terms @ stack.alike.T)[..., None]
        usual = self.bench_variance(stack, values)
        t2 = np.stack((usual, usual + scales.unlike_bench_sd**2), axis=-1)[:, :, None, :]
        shrunk = 1.0 + t2 * a
        likelihood = -0.5 * (d + np.log(shrunk) - t2 * np.square(b) / shrunk)
        return np.asarray(likelihood + self._log_probability(stack))

    def expected(self, stack: Stack, values: Parameters) -> tuple[Floats, Floats]:
        """p and ŵ of each run in kelvin; shape (draws, benches, n)."""
        c, sink, leak = (
            part[:, None, None] for part in (values.heat_capacity, values.heat_sink, values.leak)
        )
        through, warming = warming_with_leak(
            stack.energy_J_per_kg,
            stack.per_mass,
            stack.inversions,
            stack.start_above_room_K,
            c,
            sink,
            leak,
        )
        return stack.energy_J_per_kg / through, np.asarray(warming)

    def bench_variance(self, stack: Stack, values: Parameters) -> Floats:
        """τ² + (κ·f_b)² of each bench that is like the others; shape (draws, benches)."""
        from_sink = values.heat_sink[:, None] * stack.bench_per_mass
        share = from_sink / (values.heat_capacity[:, None] + from_sink)
        return np.asarray(np.square(values.bench_sd)[:, None] + np.square(values.sink_sd[:, None] * share))

    def _log_probability(self, stack: Stack) -> Floats:
        """Prior probability of each case times the likelihood of the runs that are unlike in it: neither
        depends on the parameters. Shape (benches, cases, 2)."""
        scales = self.priors
        typical = self.typical_slope * stack.energy_J_per_kg
        width = np.hypot(scales.unlike_run_width * typical, stack.u_warming_K)
        ratio = (stack.warming_K - typical) / width
        # Student t, 3 degrees of freedom: 2/(π√3)·(1 + r²/3)⁻².
        unlike = np.log(2.0 / (np.pi * np.sqrt(3.0)) / width) - 2.0 * np.log1p(np.square(ratio) / 3.0)
        of_runs = (unlike + np.log(scales.unlike_run)) @ (1.0 - stack.alike.T)
        of_runs = of_runs + np.log1p(-scales.unlike_run) * stack.alike.sum(axis=1)
        of_bench = np.log([1.0 - scales.unlike_bench, scales.unlike_bench])
        return np.asarray(of_runs[:, :, None] + of_bench)


def log_sum(log_cases: Floats, axes: tuple[int, ...] | None) -> Floats:
    """log Σ exp over these axes, or over all for None. (scipy's `logsumexp` goes over such arrays three times
    as often.)"""
    largest = log_cases.max(axis=axes, keepdims=True)
    largest = np.where(np.isfinite(largest), largest, 0.0)  # a sum over nothing but −∞ stays −∞
    return np.asarray(np.log(np.exp(log_cases - largest).sum(axis=axes)) + largest.squeeze(axes))


def _half_normal(score: Floats, scale: float) -> Floats:
    """The quantity whose normal score this is: scale·Φ⁻¹((1 + Φ(z))/2)."""
    return np.asarray(-scale * ndtri(0.5 * ndtr(-score)))


def _half_student(score: Floats, scale: float) -> Floats:
    """The same for a half Student t: scale·F⁻¹((1 + Φ(z))/2)."""
    return np.asarray(-scale * stdtrit(SINK_SD_DOF, 0.5 * ndtr(-score)))
