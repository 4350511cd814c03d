"""Runs from the phone to the decision: coming in, corrected, read, decided about, told as history.

Each run comes in exactly once and every version stays. Impossible readings are refused, all others are kept.
Nothing here analyses a class.
"""
