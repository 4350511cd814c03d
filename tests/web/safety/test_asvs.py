"""The checklist of OWASP ASVS 5.0.0, levels 1 and 2: complete, and what it names is there.

Source of the clauses' numbers: OWASP ASVS 5.0.0 (May 2025), English edition, its table of requirements.
"""

from __future__ import annotations

import ast
import re
import tomllib
from collections import Counter
from itertools import chain
from pathlib import Path

import pytest

from tests.practicals.a_class import AClass
from tests.web.desk.conftest import Reader

HERE = Path(__file__).parent
ROOT = HERE.parents[2]
ANSWERS = tomllib.loads((HERE / "asvs.toml").read_text(encoding="utf-8"))
UP_TO_LEVEL_2 = {
    "1.1": 2, "1.2": 9, "1.3": 11, "1.4": 3, "1.5": 2,
    "2.1": 3, "2.2": 3, "2.3": 4, "2.4": 1,
    "3.2": 2, "3.3": 4, "3.4": 6, "3.5": 5, "3.7": 2,
    "4.1": 3, "4.2": 1, "4.3": 2, "4.4": 4,
    "5.1": 1, "5.2": 3, "5.3": 2, "5.4": 3,
    "6.1": 3, "6.2": 12, "6.3": 4, "6.4": 4, "6.5": 5, "6.6": 3, "6.8": 4,
    "7.1": 3, "7.2": 4, "7.3": 2, "7.4": 5, "7.5": 2, "7.6": 2,
    "8.1": 2, "8.2": 3, "8.3": 1, "8.4": 1,
    "9.1": 3, "9.2": 4,
    "10.1": 2, "10.2": 2, "10.3": 4, "10.4": 11, "10.5": 5, "10.6": 2, "10.7": 3,
    "11.1": 2, "11.2": 3, "11.3": 3, "11.4": 4, "11.5": 1, "11.6": 1,
    "12.1": 3, "12.2": 2, "12.3": 4,
    "13.1": 1, "13.2": 5, "13.3": 2, "13.4": 5,
    "14.1": 2, "14.2": 4, "14.3": 3,
    "15.1": 3, "15.2": 3, "15.3": 7,
    "16.1": 1, "16.2": 5, "16.3": 4, "16.4": 3, "16.5": 3,
    "17.1": 1, "17.2": 4, "17.3": 2,
}  # fmt: skip
"""How many clauses of levels 1 and 2 each section has; in the standard they come first in it."""
CLAUSES = {f"{section}.{n}" for section, count in UP_TO_LEVEL_2.items() for n in range(1, count + 1)}


def answered_by(clause: str) -> list[str]:
    """The keys that answer for a clause: its own, its section's or its chapter's."""
    parts = clause.split(".")
    return [key for key in (".".join(parts[:n]) for n in (1, 2, 3)) if key in ANSWERS]


def test_the_standard_has_as_many_clauses_as_it_says() -> None:
    assert len(CLAUSES) == 70 + 183  # level 1, and what level 2 adds


def test_every_clause_has_one_answer_and_no_answer_is_left_over() -> None:
    assert {clause for clause in CLAUSES if len(answered_by(clause)) != 1} == set()
    assert set(ANSWERS) == set(chain.from_iterable(map(answered_by, CLAUSES)))


def test_an_answer_says_where_or_why() -> None:
    for clause, answer in ANSWERS.items():
        assert answer["say"].endswith((".", ".)")), clause
        if answer["status"] in ("met", "part"):
            assert answer["code"], clause
            assert answer["tests"], clause
        else:
            assert answer["status"] in ("gap", "none"), clause
            assert set(answer) == {"status", "say"}, clause


def test_every_file_and_test_that_is_named_is_there() -> None:
    missing = []
    for answer in ANSWERS.values():
        for named in (*answer.get("code", ()), *answer.get("tests", ())):
            path, _, function = named.partition("::")
            if not (ROOT / path).exists() or (function and function not in functions_of(ROOT / path)):
                missing.append(named)
    assert missing == []


def functions_of(module: Path) -> set[str]:
    """The names of a module's functions."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    return {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


def test_gaps_are_counted_in_the_page_about_security() -> None:
    counted = Counter(ANSWERS[answered_by(clause)[0]]["status"] for clause in CLAUSES)
    sentence = re.search(r"Of 253 clauses (\d+) are met, (\d+) in part, (\d+) are gaps, (\d+) do not", page())
    assert sentence is not None
    assert tuple(map(int, sentence.groups())) == tuple(counted[s] for s in ("met", "part", "gap", "none"))


def test_answers_have_the_headers_that_the_standard_names(desk: Reader, a_class: AClass) -> None:
    """Clauses 3.4.2 to 3.4.6, on a page, a script's answer, a file, a failure."""
    here = f"/desk/{a_class.practical_id}"
    for address in ("/", f"{here}/", f"{here}/live", f"{here}/runs.csv", "/nothing-here"):
        headers = desk.get(address).headers
        policy = {part.strip() for part in headers["Content-Security-Policy"].split(";")}
        wanted = {"default-src 'none'", "object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'"}
        assert wanted <= policy, address
        assert headers["X-Content-Type-Options"] == "nosniff", address
        assert headers["Referrer-Policy"] == "same-origin", address
        assert "Access-Control-Allow-Origin" not in headers, address


def test_a_password_is_masked_and_may_be_pasted(nobody: Reader) -> None:
    """Clauses 6.2.6 and 6.2.7."""
    fields = re.findall(r"<input[^>]*name=\"password\"[^>]*>", nobody.get("/sign-in").text)
    assert len(fields) == 1
    assert 'type="password"' in fields[0]
    assert 'autocomplete="current-password"' in fields[0]


@pytest.mark.parametrize("folder", ["/static", "/static/", "/static/css/", "/static/fonts", "/.git/config"])
def test_a_folder_of_files_is_not_listed(nobody: Reader, folder: str) -> None:
    """Clauses 13.4.1 and 13.4.3."""
    assert nobody.get(folder).status_code == 404


def test_trace_is_not_answered(nobody: Reader) -> None:
    """Clause 13.4.4."""
    answer = nobody.client.open("/sign-in", method="TRACE")
    assert answer.status_code == 405
    assert "/sign-in" not in answer.text


def page() -> str:
    """The page about security in one line."""
    return " ".join((HERE / "README.md").read_text(encoding="utf-8").split())
