"""The grid by keyboard alone, and blocks of a spreadsheet pasted into it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from playwright.sync_api import Dialog, Page, expect

from app.practicals.runs.reading import runs_in
from tests.browser.barriers import barriers_in_both_themes
from tests.browser.desk.conftest import SignedIn
from tests.practicals.a_class import PASSWORD
from tests.serving import Served

pytestmark = pytest.mark.browser

PASTE = """(text) => {
  const clipboardData = new DataTransfer();
  clipboardData.setData("text/plain", text);
  const event = new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true });
  document.activeElement.dispatchEvent(event);
}"""


def paste(page: Page, cell: str, text: str) -> None:
    """Paste into a cell, as the browser does it."""
    page.locator(f"#{cell}").focus()
    page.evaluate(PASTE, text)


def focused(page: Page) -> str:
    """The name of the cell that has the focus."""
    return str(page.evaluate("document.activeElement.name"))


def values(page: Page, *cells: str) -> list[str]:
    """What stands in these cells."""
    return [page.locator(f"#{cell}").input_value() for cell in cells]


def greys(page: Page, place: int) -> list[str]:
    """What a row shows in its empty cells, and what it sends of that."""
    names = ("tube_length", "end_allowance", "inversions")
    shown = [page.locator(f"#{name}_{place}").get_attribute("placeholder") or "" for name in names]
    return [*shown, page.locator(f"[name=grey_{place}]").input_value()]


def test_runs_are_typed_by_keyboard_and_pasted_from_a_spreadsheet(
    served: Served, signed_in: SignedIn
) -> None:
    a_class = served.a_class(planned_benches=3)
    page = signed_in(a_class)
    page.goto(f"{served.address}/desk/{a_class.practical_id}/")
    page.get_by_role("link", name="Type or paste many runs").click()
    expect(page.get_by_role("heading", name="Type or paste many runs")).to_be_visible()

    by_server = greys(page, 1)
    assert by_server[2] == "50"
    page.locator("#shot_mass_1").focus()
    for key, cell in (
        ("Enter", "shot_mass_2"),
        ("ArrowDown", "shot_mass_3"),
        ("ArrowUp", "shot_mass_2"),
        ("Shift+Enter", "shot_mass_1"),
        ("Tab", "tube_length_1"),
        ("ArrowLeft", "shot_mass_1"),
        ("ArrowRight", "tube_length_1"),
        ("Shift+Tab", "shot_mass_1"),
    ):
        page.keyboard.press(key)
        assert focused(page) == cell, key
    page.keyboard.type("340")
    page.keyboard.press("ArrowLeft")
    assert focused(page) == "shot_mass_1", "inside a text the arrows move in it"
    page.locator("#shot_mass_3").press("Enter")
    assert focused(page) == "shot_mass_4", "below the last row a new one begins"
    keys = page.locator("#grid input[name^=key_]").evaluate_all("all => all.map((one) => one.value)")
    assert len(set(keys)) == 4
    assert all(len(key) == 32 for key in keys)

    block = "T start\tT end\r\n19,2\t21,4\r\n\r\n19.3 °C\t21.6\r\n"
    paste(page, "start_temperature_1", block)
    expect(page.locator("#grid-said")).to_have_text("Pasted rows: 3.")
    assert values(page, "start_temperature_1", "end_temperature_1") == ["19,2", "21,4"]
    assert values(page, "start_temperature_2", "start_temperature_3") == ["", "19.3 °C"]

    table = "bench\trun\tend_temperature_C\tshot mass (g)\tremark\tstart_temperature_C\n"
    paste(page, "room_temperature_3", table + "2\t1\t21.6\t350\tfine\t19.3\n1\t2\t21.2\t341\t\t19.1")
    expect(page.locator("#grid-said")).to_contain_text("Left out, since no column here is called so: remark.")
    assert values(page, "bench_number_3", "shot_mass_3", "end_temperature_3") == ["2", "350", "21.6"]
    assert values(page, "bench_number_4", "shot_mass_4", "room_temperature_4") == ["1", "341", ""]
    runs = page.locator("#grid .run-number")
    expect(runs).to_have_text(["1", "1", "1", "2"])
    assert greys(page, 4) == by_server, "a row that was added shows the plan's numbers too"

    paste(page, "shot_mass_2", "\n".join(f"{number}\t100" for number in range(5000)))
    expect(page.locator("#grid-said")).to_have_text(
        "Nothing was filled in: with the pasted rows there would be 5001, and this page takes 200 at a time."
    )
    assert values(page, "shot_mass_2") == [""]
    assert page.locator("#grid tbody tr").count() == 4
    assert not barriers_in_both_themes(page)

    paste(page, "bench_number_2", "3\t2\t352\t100\n1\t1\t353\t101")
    assert values(page, "bench_number_2", "shot_mass_2", "tube_length_2") == ["3", "352", "100"]
    assert values(page, "bench_number_3", "shot_mass_3", "tube_length_3") == ["1", "353", "101"]
    expect(page.locator("#grid-said")).to_have_text(
        "Pasted rows: 2. Not taken: what was pasted into the column Run. "
        "A run’s number follows from its bench."
    )
    paste(page, "bench_number_2", table + "2\t1\t\t\t\t\n2\t1\t21.6\t350\t\t19.3")
    for cell in ("shot_mass_2", "tube_length_2", "tube_length_3"):
        page.locator(f"#{cell}").fill("")
    page.locator("#start_temperature_2").fill("")
    page.locator("#end_temperature_2").fill("")

    dialogs: list[str] = []

    def stay(dialog: Dialog) -> None:
        dialogs.append(dialog.type)
        dialog.dismiss()

    page.on("dialog", stay)
    page.get_by_role("link", name="Back without storing").click()
    expect(page.locator("#shot_mass_4")).to_have_value("341")
    assert dialogs == ["beforeunload"], "what is typed is not left unasked"

    page.locator("#end_temperature_4").press("Control+Enter")
    expect(page.get_by_text("Runs stored: 3.")).to_be_visible()
    with served.database.reading() as session:
        stored = runs_in(session, a_class.practical_id)
    assert [(run.bench_number, run.number, run.entry.shot_mass.value) for run in stored] == [
        (1, 1, Decimal("0.34")),
        (1, 2, Decimal("0.341")),
        (2, 1, Decimal("0.35")),
    ]


def test_what_is_typed_stays_when_the_teacher_is_signed_out_or_the_server_is_silent(
    served: Served, signed_in: SignedIn
) -> None:
    a_class = served.a_class(planned_benches=1)
    page = signed_in(a_class)
    page.goto(f"{served.address}/desk/{a_class.practical_id}/grid")
    for name, text in (("shot_mass", "340"), ("start_temperature", "19.2"), ("end_temperature", "21.4")):
        page.locator(f"#{name}_1").fill(text)
    said, store = page.locator("#grid-said"), page.get_by_role("button", name="Store the runs")

    page.context.set_offline(True)
    store.click()
    expect(said).to_contain_text("No answer from the server, so nothing was sent. What is typed stays")
    page.context.set_offline(False)

    other_tab = page.context.new_page()
    other_tab.goto(f"{served.address}/desk/")
    other_tab.get_by_role("button", name="Sign out").click()
    expect(other_tab.get_by_label("Password")).to_be_visible()
    store.click()
    expect(said).to_have_text("You are signed out. Sign in again in another tab, then carry on here.")
    assert values(page, "shot_mass_1", "end_temperature_1") == ["340", "21.4"]
    other_tab.get_by_label("Sign-in name").fill(a_class.teacher.login)
    other_tab.get_by_label("Password").fill(PASSWORD)
    other_tab.get_by_role("button", name="Sign in").click()
    other_tab.wait_for_url("**/desk/")
    store.click()
    expect(page.get_by_text("Runs stored: 1.")).to_be_visible()
