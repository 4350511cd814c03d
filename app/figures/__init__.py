"""Figures drawn from a `ClassResult`."""
