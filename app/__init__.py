"""Plumbfall: the falling-shot practical for a whole class."""
