"""Fits, pooling, spread and outliers for any numbers with uncertainties.

Everything here is pure and knows nothing of tubes or shot: no Flask, no SQLAlchemy, no clock, no files.
A generator is passed in wherever chance is needed.
"""
