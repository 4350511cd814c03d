"""From what a keyboard produced to exact SI numbers with the unit that was understood.

One parser for each kind of reading serves phones, desk, plan and planner. What is impossible is refused here,
with one sentence; what is only unlikely belongs to `asking`. Nothing here knows a class, a bench or a form.
"""
