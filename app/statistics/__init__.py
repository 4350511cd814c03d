"""Statistics of any numbers with uncertainties: lines, spread, random effects, a posterior by draws.

Everything here is called by the product and is what the published reference cases check; a method that only
tests need stands in `tests/oracles`. It is pure and knows nothing of tubes or shot: no Flask, no SQLAlchemy,
no clock, no files. A generator is passed in wherever chance is needed.
"""
