"""The physics of falling shot, from typed readings to energy and warming.

Everything here is pure: no Flask, no SQLAlchemy, no clock, no files, no global randomness.
Quantities are in SI units and their units stand in their names.
"""
