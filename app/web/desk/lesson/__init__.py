"""The lesson at the desk: home, the lesson page, its states, the code, the wall, a rehearsal.

Views that guard, parse, call one use case and answer; what the lesson page shows is assembled by pure
functions beside them. Single runs are decided about in `runs`.
"""
