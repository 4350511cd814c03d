"""After Send: the warming beside what falls like these usually give, and c worked out line by line."""

from __future__ import annotations

import re

import pytest

from app.practicals.benches.phones import bench_for_token
from app.practicals.lesson.states import finish_practical
from app.practicals.runs.sending import enter_run
from tests.practicals.a_class import NOW, AClass, an_entry, new_key
from tests.web.phone.phone import Phone
from tests.web.phone.test_run_without_script import all_at_once, stored

# g·h·N/w = 9.80665 × 0.95 × 50 / 2.2 = 211.7 J/(kg·K); standard gravity (3rd CGPM, 1901).
LINES = {"g": "9.81", "h": "0.95", "N": "50", "w": "2.2", "c": "212"}
PAGE = "/bench/how/1"


@pytest.fixture
def sent(phone: Phone) -> Phone:
    """A phone whose first run is in."""
    all_at_once(phone)
    phone.step("send")
    return phone


def fields(phone: Phone) -> list[str]:
    return re.findall(r'<input id="(\w)" name', phone.text)


def up_to(line: str, **changed: str) -> dict[str, str]:
    names = list(LINES)
    return {name: LINES[name] for name in names[: names.index(line) + 1]} | {"key": new_key(), **changed}


def test_a_sent_run_is_answered_with_how_it_did(sent: Phone) -> None:
    assert sent.path == PAGE
    assert "<h1>How did we do?</h1>" in sent.text
    assert "Saved as run 1." in sent.text
    assert re.search(r"Well done: 2\.2 K lies inside the [\d.]+ to \d+ K", sent.text)
    assert "Next run" in sent.text


def test_the_script_gets_the_same_with_the_answer_to_send(
    phone: Phone, row: dict[str, object], a_class: AClass
) -> None:
    answer = phone.ask("/bench/send", row).get_json()
    assert "Well done: 2.2 K" in answer["how"]
    assert 'data-href="/bench/how/1#own"' in answer["how"]
    assert phone.ask("/bench/send", row).get_json()["how"] == answer["how"], "sent twice, answered alike"


def test_the_usual_warming_has_one_digit_and_the_drawing_no_more(sent: Phone) -> None:
    """With more a bench could divide its fall energy by an end of the band."""
    low, high = re.search(r"inside the ([\d.]+) to ([\d.]+) K", sent.text).groups()  # type: ignore[union-attr]
    assert len(low.strip("0.")) == len(high.strip("0.")) == 1
    band = re.search(r'class="band" x="([\d.]+)" y="0" width="([\d.]+)"', sent.text)
    assert band
    start, width = float(band[1]), float(band[2])
    assert start / (start + width) == pytest.approx(float(low) / float(high), abs=0.002)
    got = re.search(r'class="got" x="0" y="3" width="([\d.]+)"', sent.text)
    assert got
    assert float(got[1]) / (start + width) == pytest.approx(2.2 / float(high), abs=0.002)
    assert max(float(got[1]), start + width) == pytest.approx(100 / 1.05, abs=0.1), "a little room is left"


def test_the_run_is_drawn_among_the_benchs_own_and_no_others(sent: Phone, a_class: AClass) -> None:
    enter_run(a_class.database, actor=a_class.join(8), key=new_key(), entry=an_entry(end="27.7"), now=NOW)
    for end in ("21.1", "19.0"):
        all_at_once(sent, end_temperature=end)
        if "It is right as typed" in sent.text:
            sent.step(as_typed="end_temperature")
        sent.step("send")
    sent.open("/bench/how/2")
    assert re.findall(r"<bdi>(\S+) K</bdi>", sent.text) == ["2.2", "1.9", "−0.2"]
    here = re.search(r'<li class="here"><span>(.*?)</span>', sent.text)
    assert here
    assert here[1] == "Run 2"


def test_of_many_runs_the_latest_six_are_drawn_and_always_the_one_asked_for(
    sent: Phone, a_class: AClass
) -> None:
    cookie = sent.client.get_cookie("plumbfall-bench")
    assert cookie
    bench = bench_for_token(a_class.database, token=cookie.value)
    assert bench
    for _ in range(6):
        enter_run(a_class.database, actor=bench, key=new_key(), entry=an_entry(), now=NOW)
    for asked, drawn in ((7, [2, 3, 4, 5, 6, 7]), (1, [1, 3, 4, 5, 6, 7])):
        sent.open(f"/bench/how/{asked}")
        assert re.findall(r"<li[^>]*><span>Run (\d)</span>", sent.text) == [str(number) for number in drawn]
    assert "27.7" not in sent.text
    assert "8.5" not in sent.text


def test_the_lines_come_one_at_a_time_and_the_formula_before_them(sent: Phone) -> None:
    assert sent.text.index("c = g · h · N / w") < sent.text.index('<input id="g"')
    assert fields(sent) == ["g"]
    for line, following in (("g", "h"), ("h", "N"), ("N", "w"), ("w", "c")):
        assert sent.send(PAGE, up_to(line)).status_code == 200
        assert fields(sent)[-1] == following
        assert f'value="{LINES[line]}" readonly' in sent.text


@pytest.mark.parametrize(
    ("line", "typed", "hint"),
    [
        ("h", "95", "metres, because g is in m/s²"),
        ("h", "1", "Does the shot fall the whole length"),
        ("N", "1", "N counts every fall"),
        ("w", "-2.2", "Which temperature comes first"),
        ("w", "much", "is not a number"),
        ("c", "4.23", "How many times did the shot fall?"),
        ("c", "lots", "is not a number"),
        ("c", "", "Nothing was typed"),
    ],
)
def test_a_slip_is_named_at_its_line_and_what_was_typed_stays(
    sent: Phone, a_class: AClass, line: str, typed: str, hint: str
) -> None:
    assert sent.send(PAGE, up_to(line, **{line: typed})).status_code == 422
    assert hint in sent.text
    assert fields(sent)[-1] == line
    assert 'aria-invalid="true"' in sent.text
    assert sent.form()[line] == typed


def test_the_last_line_ends_in_their_c_and_its_uncertainty_in_words(sent: Phone, a_class: AClass) -> None:
    assert sent.send(PAGE, up_to("c")).status_code == 200
    assert "Well worked out." in sent.text
    assert "c = 212 J/(kg·K)" in sent.text
    # u(c)/c = √2·(s²/12 + sd²)½ / 2.2 K and the ruler's, by hand for the class's step and spreads below.
    plan = a_class.practical.plan
    step, sd = float(plan.thermometer_step_K), float(plan.reading_sd_K)
    u = 211.7 * ((2 * (step**2 / 12 + sd**2)) / 2.2**2 + (float(plan.length_sd_m) / 0.95) ** 2) ** 0.5
    ends = re.search(r"between ([\d.]+) and ([\d.]+) J/\(kg·K\) two times in three", sent.text)
    assert ends
    assert (float(ends[1]), float(ends[2])) == pytest.approx((211.7 - u, 211.7 + u), abs=1)
    assert stored(a_class)[0].entry.own_heat_capacity is not None
    sent.open(PAGE)
    assert "c = 212 J/(kg·K)" in sent.text, "it is there when they come back"


def test_a_run_without_warming_asks_for_no_calculation(sent: Phone) -> None:
    all_at_once(sent, end_temperature="19.0")
    sent.step(as_typed="end_temperature")
    sent.step("send")
    assert sent.path == "/bench/how/2"
    assert "less than the" in sent.text
    assert "no specific heat capacity follows" in sent.text
    assert fields(sent) == []


def test_a_finished_class_checks_the_lines_and_stores_nothing(sent: Phone, a_class: AClass) -> None:
    finish_practical(a_class.database, actor=a_class.teacher, practical_id=a_class.practical_id, now=NOW)
    sent.open(PAGE)
    assert "Next run" not in sent.text
    assert "Next time" not in sent.text
    sent.send(PAGE, up_to("c"))
    assert "Well worked out." in sent.text
    assert stored(a_class)[0].entry.own_heat_capacity is None


@pytest.mark.parametrize("number", ["2", "0", "999999999999"])
def test_a_run_that_is_not_the_benchs_is_not_there(sent: Phone, number: str) -> None:
    assert sent.open(f"/bench/how/{number}").status_code == 404
