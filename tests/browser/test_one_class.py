"""One class, end to end, in two browsers: a bench's phone and the teacher's board, on the demo class."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect

from app.analysis.views.json import as_plain_data
from app.practicals.board.snapshot import Snapshot, class_snapshot
from app.practicals.made_up.demo import LoadedDemo, load_demo
from tests.browser.phone.phone import SMALL, Thumb
from tests.commands import called
from tests.serving import Served

pytestmark = pytest.mark.browser
WALL: ViewportSize = {"width": 1280, "height": 720}


@pytest.fixture(scope="module")
def school(served: Served) -> tuple[Served, LoadedDemo]:
    """The server with the demo class."""
    return served, load_demo(served.database, now=datetime.now(UTC))


@pytest.fixture(scope="module")
def teacher(browser: Browser, school: tuple[Served, LoadedDemo]) -> Iterator[Page]:
    """The teacher's laptop, signed in, at the desk of the demo class."""
    served, demo = school
    context = browser.new_context(viewport=WALL, locale="en-GB", accept_downloads=True)
    page = context.new_page()
    page.goto(f"{served.address}/desk/{demo.practical_id}/")
    page.fill("#login", demo.teacher.login)
    page.fill("#password", demo.password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"**/desk/{demo.practical_id}/")
    yield page
    context.close()


def _snapshot(school: tuple[Served, LoadedDemo]) -> Snapshot:
    served, demo = school
    return class_snapshot(served.database, demo.practical_id, actor=demo.teacher)


def _type_a_run(phone: Page, thumb: Thumb) -> None:
    for step, field, typed in (
        ("weigh", "#shot_mass", "262,5"),
        ("tube", None, ""),
        ("start", "#start_temperature", "20,4"),
        ("count", "#inversions", "60"),
        ("end", "#end_temperature", "22,5 °C"),
    ):
        expect(phone.locator(f'section.step[data-step="{step}"]')).to_be_visible()
        if field:
            phone.fill(field, typed)
        thumb.tap("[data-go=next]")
    thumb.tap("[data-go=send]")
    phone.get_by_text("Run 1").first.wait_for()


def test_a_bench_sends_its_first_run_in_eight_taps_and_the_wall_shows_it(
    browser: Browser, school: tuple[Served, LoadedDemo], teacher: Page
) -> None:
    served, demo = school
    before = len(_snapshot(school).runs)
    teacher.goto(f"{served.address}/board/{demo.practical_id}")
    expect(teacher.locator("#wall-status")).to_contain_text(f"Runs: {before}")
    context = browser.new_context(viewport=SMALL, has_touch=True, is_mobile=True, locale="en-GB")
    phone = context.new_page()
    phone.goto(f"{served.address}/j/{demo.join_code}")
    thumb = Thumb(phone)
    thumb.tap('button[value="13"]')
    thumb.tap("main button.main")
    _type_a_run(phone, thumb)
    # The wall asks every two seconds; nothing is touched on the teacher's side.
    expect(teacher.locator("#wall-status")).to_contain_text(f"Runs: {before + 1}", timeout=10_000)
    assert thumb.taps <= 8
    saved = _snapshot(school).runs_of(13)
    assert len(saved) == 1
    assert saved[0].entry.shot_mass.raw == "262,5"
    assert f"{saved[0].entry.shot_mass.value:f}" == "0.2625"
    context.close()


def test_the_accepted_value_stays_hidden_until_its_step_and_the_wall_follows_a_decision(
    school: tuple[Served, LoadedDemo], teacher: Page
) -> None:
    served, demo = school
    accepted = f"{_snapshot(school).practical.plan.accepted_J_per_kg_K.normalize():f}"
    teacher.goto(f"{served.address}/board/{demo.practical_id}")
    assert accepted not in teacher.content()
    for heading in ("The spread", "Warming against fall energy"):
        teacher.keyboard.press("PageDown")
        expect(teacher.locator("#wall-heading")).to_have_text(heading, timeout=15_000)
        assert accepted not in teacher.content()
    teacher.keyboard.press("PageDown")
    expect(teacher.locator("#wall-finding")).to_contain_text(accepted, timeout=15_000)
    _set_aside(teacher, school, "9")
    teacher.goto(f"{served.address}/board/{demo.practical_id}")
    for heading in ("Warming against fall energy", "The spread"):
        teacher.keyboard.press("PageUp")
        expect(teacher.locator("#wall-heading")).to_have_text(heading, timeout=15_000)
    expect(teacher.locator("#picture figure img")).to_have_attribute("alt", re.compile("set aside: 1"))
    run = _snapshot(school).runs_of(9)[0]
    assert run.set_aside
    assert len(_snapshot(school).runs_of(9)) == 3


def _set_aside(teacher: Page, school: tuple[Served, LoadedDemo], bench: str) -> None:
    served, demo = school
    flagged = next(run for run in _snapshot(school).runs_of(int(bench)) if run.number == 1)
    teacher.goto(f"{served.address}/desk/{demo.practical_id}/decisions#run-{flagged.run_id}")
    case = teacher.locator(f"#run-{flagged.run_id}")
    case.get_by_role("textbox").fill("the bench wrote down the warming")
    case.get_by_role("button", name="Set it aside").click()
    expect(teacher.locator(f"#run-{flagged.run_id}")).to_contain_text("the bench wrote down the warming")


def test_the_downloaded_runs_give_the_same_numbers_on_the_command_line(
    school: tuple[Served, LoadedDemo], teacher: Page, tmp_path: Path
) -> None:
    teacher.goto(f"{school[0].address}/desk/{school[1].practical_id}/")
    with teacher.expect_download() as waiting:
        teacher.get_by_role("link", name="Runs as CSV").click()
    table = tmp_path / "runs.csv"
    waiting.value.save_as(table)
    plan = _snapshot(school).practical.plan
    done = called(
        tmp_path,
        *("analyse", str(table), "--json", "--material", plan.material),
        *("--accepted", f"{plan.accepted_J_per_kg_K:f}", "--gravity", f"{plan.gravity_m_per_s2:f}"),
        *("--thermometer-step", f"{plan.thermometer_step_K:f}", "--reading-sd", f"{plan.reading_sd_K:f}"),
        *("--length-sd", f"{plan.length_sd_m:f}", "--room-temperature", f"{plan.room_temperature_C:f}"),
    )
    assert done.returncode == 0, done.stderr
    result = _snapshot(school).result
    assert result is not None
    assert json.loads(done.stdout) == json.loads(json.dumps(as_plain_data(result)))
