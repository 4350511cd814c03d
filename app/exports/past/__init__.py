"""Tables of past results from elsewhere, CSV or XLSX: read as text, and what their columns may be.

Values alone are read: no formula is worked out, no link is followed. What is guessed is shown first.
"""
