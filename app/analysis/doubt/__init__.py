"""Reasons for a second look at a run or a bench, and the slip that may be behind one.

Checks of the inputs, comparison with the class, and known slips undone; each becomes a flag with a sentence.
A flag never removes a run and a slip is never put right here. What the class's figures are is decided
elsewhere.
"""
