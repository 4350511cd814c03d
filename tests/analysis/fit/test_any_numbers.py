"""Whatever numbers are typed, the fit answers: with figures or with a reason."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from app.analysis.fit.budget import class_budget
from app.analysis.fit.class_fit import NotFitted, class_fit
from app.analysis.fit.class_value import class_value
from app.analysis.fit.heat_ledger import ledger_shares
from app.analysis.fit.oddness import oddness
from app.analysis.fit.separated import separated
from app.analysis.readings import ClassSettings, RunReadings

NUMBER = st.one_of(
    st.floats(-1e9, 1e9), st.floats(0.0, 200.0), st.sampled_from([0.0, -1.0, 20.0, 24.0, 0.5, 1e-9, 1e15])
)
RUN = st.builds(
    RunReadings,
    bench=st.sampled_from("123"),
    run=st.just("1"),
    shot_mass_kg=NUMBER,
    tube_length_m=NUMBER,
    end_allowance_m=st.floats(0.0, 0.1),
    inversions=NUMBER,
    start_temperature_C=NUMBER,
    end_temperature_C=NUMBER,
    room_temperature_C=st.none() | NUMBER,
    set_aside=st.booleans(),
)


@given(st.lists(RUN, max_size=8), st.sampled_from([0.0, 0.1, 1.0]))
@settings(max_examples=25, deadline=None)
def test_any_numbers_give_figures_or_a_reason(runs: list[RunReadings], step: float) -> None:
    fit = class_fit(runs, ClassSettings(accepted_J_per_kg_K=129.0, thermometer_step_K=step), draws=1024)
    if isinstance(fit, NotFitted):
        assert str(fit.reason)
        return
    value, apart = class_value(fit), separated(fit)
    assert np.isfinite(value.apparent_heat_capacity_J_per_kg_K)
    assert str(apart.reason)
    probabilities = [p for p in oddness(fit).runs if p is not None]
    assert all(0.0 <= p <= 1.0 for p in probabilities)
    assert ledger_shares(fit, apart.identifiable) is None or class_budget(fit, apart.identifiable)
