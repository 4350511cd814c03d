"""Fits, pooling, spread and outliers for any numbers with uncertainties.

Everything here is pure and knows nothing of tubes or shot: no Flask, no SQLAlchemy, no clock, no files.
A generator is passed in wherever chance is needed.

`random_effects`, `consistency`, `outliers`, `influence`, `grouped` and `quantiles` are what the analysis
calls. `pooling`, `through_origin`, `straight_line`, `robust` and `spread` are the same methods for any data,
checked against published cases; the analysis of a class works them out on its own columns, because it has a
class's time for all of them, and `tests/analysis` holds both to the same figures. `clustered`, `gum` and
`model_choice` are further checks and are called by tests alone.
"""
