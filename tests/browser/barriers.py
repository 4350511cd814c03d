"""axe-core's verdict on a page as it stands.

The script is brought into a document once, however often the page is looked at, and only what it found comes
back: the full list of what passed is three quarters of the time.
"""

from __future__ import annotations

from collections.abc import Mapping

from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

LOOK = """async (options) => {
  if (!("axe" in window)) return null;
  const { violations } = await axe.run({ ...options, resultTypes: ["violations"] });
  return violations.map(({ id, help, nodes }) => `${id}: ${help}\\n` + nodes.map(
    (node) => `  ${node.html.slice(0, 99)}\\n    ${node.failureSummary.replaceAll("\\n", " ")}`).join("\\n"));
}"""


COLOURS = {"runOnly": ["color-contrast", "link-in-text-block"]}
"""The two rules of axe-core (category `cat.color`, apart from the enhanced contrast of WCAG AAA)."""


def barriers(page: Page, options: Mapping[str, object] | None = None) -> str:
    """What axe-core finds wrong, as text; empty for nothing. `options` are those of `axe.run`."""
    page.wait_for_load_state()  # a click comes back as soon as the next document has begun
    found = page.evaluate(LOOK, dict(options or {}))
    if found is None:
        page.evaluate(AXE_SCRIPT)
        found = page.evaluate(LOOK, dict(options or {}))
    return "\n".join(found)


def barriers_in_both_themes(page: Page, options: Mapping[str, object] | None = None) -> str:
    """The same in the light theme; then what depends on colours in the dark one, on the same document."""
    found = []
    page.emulate_media(color_scheme="light")
    if seen := barriers(page, options):
        found.append(f"light:\n{seen}")
    page.emulate_media(color_scheme="dark")
    if seen := barriers(page, COLOURS):
        found.append(f"dark:\n{seen}")
    return "\n".join(found)
