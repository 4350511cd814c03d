"""Figures of a class's result.

They know a `ClassResult`, ink and paper; they know nothing of pages. Words reach them through a function
that says a `Message` in the reader's language. What is drawn, said and tabled comes from the same figures.
"""
