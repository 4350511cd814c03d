"""Runs at the desk: one bench's, a run typed or corrected, decisions, the practical's history.

Views and the forms they read. What a decision would change is worked out from the class's snapshot; nothing
is decided by looking.
"""
