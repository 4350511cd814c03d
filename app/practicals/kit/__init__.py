"""The department's kit: its pieces, their checks, what a plan gives a bench, what a technician sets out.

What the pieces do to results is worked out in `app.analysis.pieces`, from the runs that `shifts` gathers.
"""
