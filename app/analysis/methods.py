"""What computed the class value, and the other ways of pooling, in words. The JSON has them in English."""

from __future__ import annotations

from app.words import N_, Message

FIT = Message(
    N_(
        "run-level Bayesian fit of m·e = (m·c + C)·w with bench effects, each run and bench with a small"
        " probability unlike the others; half-normal priors for heat sink, and scatter, half Student t for"
        " differing sinks; median and 95 %% interval of the posterior"
    )
)
FIT_WITH_LEAK = Message(
    N_(
        "run-level Bayesian fit of m·e = (m·c + C)·w + λ·N·θ with bench effects, each run and bench with a"
        " small probability unlike the others; half-normal priors for heat sink, leak and scatter, half"
        " Student t for differing sinks; median and 95 %% interval of the posterior"
    )
)
MEAN_OF_FEW = Message(
    N_(
        "inverse of the benches' mean warming per fall energy, each run with its probability of being like"
        " the others in the run-level fit"
    )
)
POOLED = {
    "run-level-fit": Message(N_("fit of all runs")),
    "plain-mean": Message(N_("plain mean of the benches")),
    "random-effects": Message(N_("random-effects mean of the benches, Paule–Mandel")),
}
"""The ways of pooling the same runs, by their names in the JSON."""

_SAID = {str(method): method for method in (FIT, FIT_WITH_LEAK, MEAN_OF_FEW)}


def method_said(method: str) -> Message:
    """The sentence behind a class value's method; another text stays as it is."""
    return _SAID.get(method) or Message("%(typed)s", {"typed": method})
