"""From a table of runs to one `ClassResult`.

Everything here is pure: it joins the physics and the statistics and decides what may be said.
No Flask, no SQLAlchemy, no clock, no files, no global randomness.
"""
