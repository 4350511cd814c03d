"""Classes that never were, stored so that the tool can be tried: the demo and the rehearsal.

Their rows are marked as simulated, and they are the only rows that are ever taken out of a practical. The
readings come from `app.physics.simulation`.
"""
