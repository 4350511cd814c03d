"""Textbook methods that the tests compare with, or that a published case needs, and that do not ship.

Nothing in `app` may import from here. A method that the product begins to call moves to `app/statistics`.
"""
