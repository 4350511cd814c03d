"""A practical's document: all that is kept, in the published form, and nothing that lets anybody in."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import jsonschema
import pytest

from app.analysis.results import ANALYSIS_VERSION
from app.analysis.views.json import as_plain_data
from app.exports.record import exact_json
from app.exports.record.document import _ROW, LEFT_OUT, SCHEMA, document
from app.physics.run import QUANTITIES
from app.practicals.board.snapshot import class_snapshot
from app.practicals.lesson.states import finish_practical
from app.practicals.out.whole import whole_practical
from app.records.base import Base
from app.records.engine import Database
from app.records.models import Bench, BenchPhone, Practical, TeacherSession
from app.records.whole import table_of
from app.resources import static_dir
from tests.practicals.a_class import NOW, AClass
from tests.practicals.a_full_class import FORMULA, a_full_class

SCHEMA_TEXT = (static_dir() / "formats" / SCHEMA).read_text(encoding="utf-8")
NOT_OF_A_PRACTICAL = {
    *("department", "teacher", "teacher_session", "known_browser", "failed_attempt", "access_mark"),
    *("log_entry", "deletion", "result_due", "way_in", "second_step", "spare_code", "cover"),
    *("kit_check", "first_class"),
}
"""Tables about people and places, of which a document says a name and a key; checks; what is to be done."""


def document_of(one: AClass) -> Any:
    whole = whole_practical(one.database, actor=one.teacher, practical_id=one.practical_id)
    return exact_json.loads(exact_json.dumps(document(whole, "0.0")))


def test_the_document_has_the_published_form(database: Database) -> None:
    schema = json.loads(SCHEMA_TEXT)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker())
    one = a_full_class(database)
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    class_snapshot(database, one.practical_id, actor=one.teacher)  # whoever looks, keeps the result
    found = document_of(one)
    assert found["results"]
    validator.validate(found)
    for broken in ({"key": "1"}, {"people": None}, {"token": "x"}):
        with pytest.raises(jsonschema.ValidationError):
            validator.validate(found | broken)


def test_every_column_of_a_practical_is_written_or_named_as_left_out(database: Database) -> None:
    tables = set(Base.metadata.tables) - NOT_OF_A_PRACTICAL - {table_of(BenchPhone).name}
    assert tables == {table_of(model).name for model in LEFT_OUT}
    properties = json.loads(SCHEMA_TEXT)
    parts = {
        "practical": properties["properties"]["practical"],
        "bench_plan": properties["properties"]["bench_plans"]["items"],
        "kit_piece": properties["properties"]["pieces"]["items"],
        "bench_kit": properties["properties"]["bench_kits"]["items"],
        "state_change": properties["properties"]["history"]["items"],
        "kept_result": properties["properties"]["results"]["items"],
        **{name: properties["$defs"][name] for name in ("bench", "run", "decision")},
        "run_version": properties["$defs"]["version"],
    }
    for model, left_out in LEFT_OUT.items():
        name = table_of(model).name
        if name in parts:
            columns = {column.key for column in table_of(model).columns} - _ROW - left_out
            optional = {"pieces", "came_too_fast"} if name == "run" else set()  # of older documents
            assert columns <= set(parts[name]["required"]) | optional, name
            assert set(parts[name]["properties"]) == set(parts[name]["required"]) | optional, name


def test_every_quantity_of_a_run_has_its_place_in_the_published_form() -> None:
    readings = json.loads(SCHEMA_TEXT)["$defs"]["version"]["properties"]["readings"]["properties"]
    assert list(readings) == list(QUANTITIES)


def test_typed_texts_and_digits_are_as_they_were_typed(database: Database) -> None:
    found = document_of(a_full_class(database))
    assert found["practical"]["title"] == f"{FORMULA} Year 10"
    (plan,) = found["bench_plans"]
    assert (str(plan["shot_mass_kg"]), str(plan["ice_point_C"])) == ("0.3400", "-0.30")
    bench = next(bench for bench in found["benches"] if bench["number"] == 2)
    start = bench["runs"][0]["versions"][0]["readings"]["start_temperature"]
    assert (start["typed"], start["unit"], start["value"]) == ("-9.81", "°C", Decimal("-9.81"))
    room = bench["runs"][0]["versions"][0]["readings"]["room_temperature"]
    assert (room["typed"], room["unit"], str(room["value"])) == (" 68.5", "°F", "20.28")
    assert bench["runs"][1]["versions"][1]["own_heat_capacity_J_per_kg_K"] == Decimal("-130.0")


def test_every_version_and_decision_keeps_its_place(database: Database) -> None:
    found = document_of(a_full_class(database))
    runs = [run for bench in found["benches"] for run in bench["runs"]]
    versions = sorted(v["order"] for run in runs for v in run["versions"])
    assert versions == [1, 2, 3, 4, 5, 6]
    decisions = sorted((d["order"], d["reason"]) for run in runs for d in run["decisions"])
    assert decisions == [
        (1, "-2+3 dropped"), (2, "@A1: it was\r\nanother bench"), (3, "\t=2+5".strip())
    ]  # fmt: skip
    assert found["held_wall"] == {"benches": 2, "versions": 6, "decisions": 2}
    assert {person["key"] for person in found["people"]} == {found["practical"]["teacher"]}


def test_every_result_that_was_kept_is_there_with_its_analysis(database: Database) -> None:
    one = a_full_class(database)
    finish_practical(database, actor=one.teacher, practical_id=one.practical_id, now=NOW)
    snapshot = class_snapshot(database, one.practical_id, actor=one.teacher)
    (kept,) = document_of(one)["results"]
    assert (kept["cause"], kept["analysis_version"]) == ("finished", ANALYSIS_VERSION)
    assert snapshot.result is not None
    assert snapshot.result.class_value is not None
    value = snapshot.result.class_value.apparent_heat_capacity_J_per_kg_K
    assert float(kept["class_value_J_per_kg_K"]) == value
    plain = json.loads(exact_json.dumps(kept["result"]))
    assert plain == json.loads(json.dumps(as_plain_data(snapshot.result)))


def test_nothing_that_lets_anybody_in_is_part_of_it(database: Database) -> None:
    one = a_full_class(database)
    text = exact_json.dumps(document_of(one))
    with database.reading() as session:
        secrets = [
            *session.scalars(Practical.__table__.select().with_only_columns(Practical.join_code)),
            *session.scalars(Bench.__table__.select().with_only_columns(Bench.bench_key)),
            *session.scalars(BenchPhone.__table__.select().with_only_columns(BenchPhone.token_digest)),
            *session.scalars(
                TeacherSession.__table__.select().with_only_columns(TeacherSession.token_digest)
            ),
        ]
    assert len(secrets) >= 5
    assert one.teacher.login not in text.replace(one.teacher.name, "")
    for secret in secrets:
        assert secret not in text


def test_a_practical_that_did_not_change_gives_the_same_document(database: Database) -> None:
    one = a_full_class(database)
    assert exact_json.dumps(document_of(one)) == exact_json.dumps(document_of(one))


def test_a_number_that_json_does_not_know_is_refused() -> None:
    with pytest.raises(ValueError, match="NaN"):
        exact_json.loads('{"value": NaN}')
    with pytest.raises(ValueError):
        exact_json.dumps({"value": float("nan")})
    assert str(exact_json.loads("[-0, 0.10, 12]")[0]) == "-0"
    assert exact_json.dumps([Decimal("0.10"), Decimal("1E-9"), 3, True, None, {}, []]) == (
        "[\n 0.10,\n 0.000000001,\n 3,\n true,\n null,\n {},\n []\n]\n"
    )
