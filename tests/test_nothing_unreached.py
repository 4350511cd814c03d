"""The program defines nothing that it does not reach: what only tests call belongs to the tests."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.unreached import Program

ROOT = Path(__file__).resolve().parent.parent
KEPT = {
    "app.analysis.fit.allowance.OneAllowance.in_narrow_bores": "held against a class made so",
    "app.analysis.fit.allowance.OneAllowance.in_wide_bores": "the same",
    "app.analysis.fit.model.Priors.twice_as_wide": "held against the same by the draws",
    "app.physics.materials.Material.density_source": "a number says where it is from",
    "app.physics.materials.Material.range_source": "a number says where it is from",
    "app.physics.simulation.a_class.SimulatedRun.true_heat_sink_share": "a simulated run carries its truth",
    "app.physics.simulation.a_class.SimulatedRun.true_specific_energy_J_per_kg": "the same",
    "app.physics.simulation.a_class.SimulatedRun.true_warming_K": "the same",
    "app.analysis.of_the_fit.WithWiderPriors.class_value_interval_95": "every field is in the JSON",
    "app.analysis.of_the_fit.WithWiderPriors.specific_heat_J_per_kg_K": "the same",
    "app.analysis.of_the_fit.WithWiderPriors.specific_heat_interval_95": "the same",
    "app.exports.record.document.SCHEMA": "the document's published form",
    "app.exports.record.exact_json._refuse": "the document is to be read in again",
    "app.exports.record.exact_json._whole": "the same",
    "app.exports.record.exact_json.loads": "the same",
    "app.look.tokens.Inks.bad_paper": "every field is a custom property of the stylesheets",
    "app.look.tokens.Inks.edge": "the same",
    "app.look.tokens.Inks.flag_paper": "the same",
    "app.look.tokens.Inks.good_paper": "the same",
    "app.look.tokens.Inks.press_ink": "the same",
    "app.statistics.mixed.MixedFit.minus_two_log_likelihood": "held against published examples",
    "app.statistics.mixed.MixedFit.residual_sd": "the same",
    "app.records.base.Base.type_annotation_map": "SQLAlchemy reads it",
    "app.records.migrate.downgrade": "the way back of each migration, which has no command",
}
LATER = ("app.physics.simulation.room.",)
"""What the planner will try its proposals on."""

A_PROGRAM = {
    "app/cli.py": """
from app import parts
from app.sums import Sum as Total

def main():
    return Total().shown, parts
""",
    "app/parts.py": """
from app import page

PARTS = (page,)
for part in PARTS:
    part.wire()
""",
    "app/page.py": """
def wire(): ...

@blueprint.get("/")
def home():
    helper()

def helper(): ...
def lost():
    found()

def found(): ...
""",
    "app/sums.py": """
class Sum:
    shown = 1
    on_a_page = 2
    forgotten = 3

    def __len__(self): ...
""",
    "app/tables.py": "def moved(): ...",
    "migrations/one.py": "from app.tables import moved",
    "templates/one.html": "{{ sum.on_a_page }} forgotten",
}


def test_nothing_is_defined_that_the_product_does_not_reach() -> None:
    found = [name for name in Program(ROOT, "app").unreached() if not name.startswith(LATER)]
    assert [name for name in found if name not in KEPT] == []


def test_what_only_dead_code_or_nobody_calls_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, text in A_PROGRAM.items():
        file = tmp_path / name.replace("app/", "other/")
        file.parent.mkdir(exist_ok=True)
        file.write_text(text.replace("from app", "from other"))
    monkeypatch.syspath_prepend(str(tmp_path))
    assert Program(tmp_path, "other").unreached() == [
        "other.page.found",
        "other.page.lost",
        "other.sums.Sum.forgotten",
    ]
