"""A practical as the teacher's: its plan, its states, who may change it, and its end.

One transaction for each use case, which raises the practical's revision. Readings are not touched here, but
for a deletion, which takes everything along except the log.
"""
