"""Strategies for what may be typed or sent in a field's place: figures of many scripts, signs, and worse."""

from __future__ import annotations

from hypothesis import strategies as st

DIGITS = "0123456789٠١٢٣٤٥۵۶۷۸۹०१२३৪௫๖１２３𝟜𝟝²³½Ⅷ五"
SIGNS = "+-−–‐.,٫٬'’·eE%°º×/: \u00a0\u202f\u2009\u200b"
UNITS = ("g", "kg", "mg", "cm", "mm", "m", "in", "°C", "°F", "K", "C", "J/K", "min", "%", "µm", "㎝", "℃")

figures = st.text(DIGITS + SIGNS, max_size=10)
plausible = st.builds(
    "{}{}{}".format,
    st.one_of(st.integers(-5, 400), st.decimals(-50, 500, places=2, allow_nan=False)),
    st.sampled_from(["", " ", "\u00a0"]),
    st.sampled_from(["", *UNITS]),
)
HOSTILE = (
    "",
    " ",
    "\x00",
    "340\x00",
    "\r\n",
    "\x1b[31m",
    "\x7f\x80\x9f",
    "\u202e340\u202c",
    "\u2066\u2067\u2069",
    "\ufeff",
    "\ufffe\uffff",
    "👩🏽‍🔬",
    "e\u0301" * 40,
    "نص 340 גרם",
    "9" * 30,
    "9" * 5000,
    "-1",
    "0",
    "1e999",
    "1e-999",
    "1E+5000000",
    "nan",
    "-inf",
    "1_000",
    "0x10",
    "1.2.3",
    "1,234.5",
    "2147483648",
    "9223372036854775808",
    "-9223372036854775809",
    "<script>alert(1)</script>",
    "{{ 7 * 7 }}",
    "%(name)s %s {0}",
    "'; DROP TABLE run; --",
    '"><img src=x>',
    "=1+1",
    "../../etc/passwd",
    "//elsewhere.example",
    "x" * 70_000,
    "ﷺ" * 1000,
    "0001-01-01",
    "9999-12-31",
    "2031-02-30",
    "2031-W10-4",
    "24:00",
    "1.1",
    "99.99",
    "٣",
    "²",
    "yes",
    "no",
    "on",
    "null",
    "[]",
    "{}",
)
hostile = st.sampled_from(HOSTILE)
anything = st.text(max_size=30)
any_text = st.one_of(plausible, figures, hostile, anything)
"""What a field may hold."""

table_cell = st.one_of(plausible, figures, hostile.filter(lambda text: len(text) < 5000), anything)
tables = st.builds(
    "\n".join,
    st.lists(
        st.builds(
            lambda mark, cells: mark.join(cells), st.sampled_from(",;\t"), st.lists(table_cell, max_size=9)
        ),
        max_size=8,
    ),
)
"""What may be pasted or come as a file."""
