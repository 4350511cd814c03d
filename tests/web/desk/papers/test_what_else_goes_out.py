"""What is taken away beside runs and workbook: decisions, what the columns mean, and the whole document."""

from __future__ import annotations

import json

from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader
from tests.web.desk.papers.test_taking_the_runs_away import one  # noqa: F401 - a fixture


def test_the_table_of_decisions_and_what_the_columns_mean_go_with_it(desk: Reader, one: AClass) -> None:  # noqa: F811
    decisions = desk.get(f"/desk/{one.practical_id}/decisions.csv")
    assert "'=2+3" in decisions.data.decode("utf-8-sig").splitlines()[1]
    means = desk.get(f"/desk/{one.practical_id}/csv-metadata.json")
    tables = json.loads(means.data)["tables"]
    files = [desk.get(f"/desk/{one.practical_id}/{kind}.csv").headers for kind in ("runs", "decisions")]
    assert [f'attachment; filename="{table["url"]}"' for table in tables] == [
        headers["Content-Disposition"] for headers in files
    ]


def test_the_document_is_given_out_and_anybody_may_read_its_form(
    desk: Reader,
    nobody: Reader,
    one: AClass,  # noqa: F811
) -> None:
    found = json.loads(desk.get(f"/desk/{one.practical_id}/practical.json").data)
    assert (found["format"], len(found["benches"])) == ("plumbfall-practical", 4)
    with nobody.get("/static/formats/practical-1.schema.json") as answer:
        form = json.loads(answer.data)
    assert form["properties"]["format"]["const"] == found["format"]
