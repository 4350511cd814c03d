"""A finished analysis from one side each: runs, spread, straight line, one bench, warnings, JSON.

Each view reads the class's columns and fits and gives frozen records with reasons for what is absent. No view
fits the class anew or decides about a run. Sentences here are for everybody; numbers are rounded in one
place.
"""
