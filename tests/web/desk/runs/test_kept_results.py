"""The page of what was kept of a practical: listed, computed anew, compared in words, kept when asked."""

from __future__ import annotations

import re

import pytest
from sqlalchemy import func, select

from app.practicals.archive import keeping
from app.practicals.archive.figures import columns_of
from app.practicals.lesson.states import finish_practical
from app.records.models import KeptResult
from tests.practicals.a_class import NOW, AClass
from tests.web.desk.conftest import Reader


@pytest.fixture
def finished(class_with_a_slip: AClass) -> AClass:
    """Seven benches, finished; nobody has looked at it since."""
    one = class_with_a_slip
    finish_practical(one.database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    return one


def _kept(a_class: AClass) -> int:
    with a_class.database.reading() as session:
        return session.scalar(select(func.count()).select_from(KeptResult)) or 0


def test_finishing_leads_to_the_lesson_page_which_keeps_the_result(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    here = f"/desk/{class_with_a_slip.practical_id}"
    answer = desk.post(f"{here}/conduct/finish", sure="yes")
    assert _kept(class_with_a_slip) == 0
    desk.text(answer.headers["Location"])
    assert _kept(class_with_a_slip) == 1
    page = desk.text(f"{here}/results")
    assert "Finished" in page
    assert "Mrs-Okafor" in page
    assert "7 benches" in page


def test_a_result_computed_anew_is_compared_in_words_and_kept_only_when_asked(
    desk: Reader, finished: AClass, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = f"/desk/{finished.practical_id}/results"
    first = re.search(r"anew=(\d+)#anew", desk.text(here))
    assert first
    compared = desk.text(f"{here}?anew={first[1]}")
    assert "All figures are the same to the digits shown" in compared
    assert _kept(finished) == 1, "comparing keeps nothing"
    # As if the analysis of then had another class value: what is kept cannot be changed, so one more is kept.
    with monkeypatch.context() as patch:
        patch.setattr(
            keeping,
            "columns_of",
            lambda figures: {
                **columns_of(figures),
                "class_value_J_per_kg_K": figures.class_value.value - 3.0,
                "heat_sink_J_per_K": 12.0,
            },
        )
        assert desk.post(here).status_code == 302
    assert _kept(finished) == 2
    page = desk.text(here)
    assert "The result is kept beside the earlier ones." in page
    assert "Computed anew" in page
    second = re.search(r"anew=(\d+)#anew", page)
    assert second
    assert second[1] != first[1]
    compared = desk.text(f"{here}?anew={second[1]}").split('id="anew"')[1]
    assert "Something differs" in compared
    assert re.search(r"3\.0 higher \(1\.\d %\)", compared)
    assert ">no longer<" in compared, "the sink that was kept cannot be told apart in this class"
    assert "Keep this result too" in compared


def test_a_class_under_way_has_nothing_kept_and_keeps_nothing(
    desk: Reader, class_with_a_slip: AClass
) -> None:
    here = f"/desk/{class_with_a_slip.practical_id}/results"
    assert "Nothing is kept yet" in desk.text(here)
    desk.post(here)
    assert "Nothing was kept" in desk.text(here)
    assert _kept(class_with_a_slip) == 0
