"""Benches and their phones: joining, a number put right, progress as the desk watches it.

A bench is a number, and a phone enters its readings by a token. What was measured stands in `runs`.
"""
