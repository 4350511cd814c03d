"""What people type into a reading's field, for Hypothesis: digits, marks, signs and units in any order."""

from __future__ import annotations

from hypothesis import strategies as st

LIKELY = st.text(alphabet="0123456789.,-−+ eE^x×gkcm°CFin'’\"٣５²½_\u202f\u200f", max_size=14)
"""Nearly a reading."""
ANYTHING = st.one_of(st.text(max_size=80), LIKELY)
