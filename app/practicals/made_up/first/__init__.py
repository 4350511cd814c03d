"""A first practical by the hand: three questions, then a made-up class that plays itself in two minutes.

Nothing of it is a practical: a teacher's row holds the three answers and how far the script was played, and
the class is worked out from them. So it cannot stand in the archive, among results that were kept, in what is
said of the kit or in any export. `script` and `a_class` are pure.
"""
