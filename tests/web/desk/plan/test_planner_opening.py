"""The planner opens with three questions, and says a warning once."""

from __future__ import annotations

import re

import pytest

from app.web.desk.plan.said_once import by_field, said_once, these_benches
from app.words import Message
from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader
from tests.web.desk.plan.test_planning_each_bench import _fields


def _rest_is_open(page: str) -> bool:
    """Whether the fields beside the first three questions are shown."""
    (found,) = re.findall(r'<details class="kit-rest"( open)?>', page)
    return bool(found)


def test_the_planner_opens_with_three_questions(desk: Reader, planned: AClass) -> None:
    page = desk.text(f"/desk/{planned.practical_id}/planner")
    asked, rest = page.split('<details class="kit-rest"')[0], page.split('<details class="kit-rest"')[1]
    assert list(_fields(asked.split('id="kit-title"')[1])) == ["tubes_1", "shot_available", "step_1"]
    assert len(_fields(rest.split("</details>")[0])) == 20
    assert not _rest_is_open(page)


USUAL_LEFT = [("tubes_1", "6", 200), ("shot_available", "20 kg", 200), ("step_1", "nine", 422)]
OTHER = [
    ("bore_1", "45 mm", 200),
    ("minutes", "25", 200),
    ("minutes", "an hour", 422),
    ("two_counts", "yes", 200),
    ("least_mass", "", 200),
    ("room", "hot", 422),
    ("tubes_2", "3", 422),
]


@pytest.mark.parametrize(("name", "typed", "status"), USUAL_LEFT + OTHER)
def test_the_rest_of_the_kit_opens_where_it_is_not_as_usual_or_wrong(
    desk: Reader, planned: AClass, name: str, typed: str, status: int
) -> None:
    address = f"/desk/{planned.practical_id}/planner"
    fields = _fields(desk.text(address))
    answer = desk.post(address, **{**fields, name: typed}, action="propose")
    page = answer.get_data(as_text=True)
    assert answer.status_code == status
    usual = name == "least_mass" or (name, typed, status) in USUAL_LEFT
    assert _rest_is_open(page) is not usual
    if name != "two_counts":
        assert _fields(page)[name] == typed


def test_a_warning_names_its_benches_and_how_far_their_figures_reach() -> None:
    """By hand: three neighbours and one more with the same sentence, two with figures of their own."""
    far = [Message("More than %(most)s g.", {"most": "900"})]
    full = [Message("Fills about %(share)s %% of the tube.", {"share": share}) for share in ("31", "9.5")]
    warnings = {f"mass_{bench}": far for bench in (4, 1, 3, 2, 7)} | {"mass_9": [full[0]]}
    warnings |= {"mass_8": [*far, full[1]], "runs_8": far}
    said = [
        (these_benches(one.benches, str), str(one.sentence), one.fields[0])
        for one in said_once(warnings, str)
    ]
    assert said == [
        ("Benches 1 to 4, 7 and 8", "More than 900 g.", "mass_4"),
        ("Benches 8 and 9", "Fills about 9.5 to 31 % of the tube.", "mass_9"),
        ("Bench 8", "More than 900 g.", "runs_8"),
    ]
    assert by_field(said_once(warnings, str)) == {
        **dict.fromkeys(("mass_4", "mass_1", "mass_3", "mass_2", "mass_7"), (1,)),
        **{"mass_9": (2,), "mass_8": (1, 2), "runs_8": (3,)},
    }
    assert these_benches((7, 5, 6), str) == "Benches 5 to 7"
    (of_the_kit,) = said_once({"tubes_1": far}, str)
    assert (of_the_kit.fields, of_the_kit.benches) == (("tubes_1",), ())
