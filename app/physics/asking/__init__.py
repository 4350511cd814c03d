"""Readings that are possible but unlikely, and what is asked about them.

Each question is one sentence about one field, with the likely slip undone as text to take up. Nothing here
refuses or changes a reading. What is typical of the class comes in as numbers; nothing is looked up.
"""
