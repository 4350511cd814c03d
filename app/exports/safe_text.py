"""Text that no spreadsheet takes for a formula, whichever separator it parts the table at."""

from __future__ import annotations

import re

NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,4})?")
# What a spreadsheet takes for a formula where a cell begins with it (OWASP, "CSV Injection"), also behind
# spaces and quotes. A cell begins at the text's own beginning and, where the table is parted at semicolons or
# tabs instead of commas, behind each of these; quotes around the whole text do not keep it together then.
_BEGINS = r"(?=[\s\"']*[=+\-@＝＋－＠\t\r\n])"
_UNGUARDED = re.compile(rf"(\A|[;\t\r\n]){_BEGINS}")
_GUARDED = re.compile(rf"(\A|[;\t\r\n])'{_BEGINS}")


def safe_text(text: str) -> str:
    """Text that no spreadsheet takes for a formula, whether it parts the table at commas, semicolons or tabs.

    An apostrophe goes in wherever a formula could begin; `plain_text` takes it out again. A number stays as
    it is.
    """
    return text if NUMBER.fullmatch(text) else _UNGUARDED.sub(r"\1'", text)


def plain_text(text: str) -> str:
    """The text as it was before `safe_text`."""
    return _GUARDED.sub(r"\1", text)
