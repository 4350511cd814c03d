"""Made-up classes: readings with everything known that a real class hides.

`a_class` makes the readings of a class, and `slips` spoils them as benches do. A random generator is passed
in, so that the same seed gives the same class. Demo and rehearsal use it; no reading of a real class is
touched.
"""
