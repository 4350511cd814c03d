"""Recipes for running the program."""
