"""The number of the analysis, which every kept result carries."""

from __future__ import annotations

ANALYSIS_VERSION = 1
"""Raise it by one with every change after which the same readings give other figures: a model, a prior, a
rule about flags, a rounding within the fit. A refactoring that moves last digits alone does not count."""
