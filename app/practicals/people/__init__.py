"""Who is acting and who may sign in: teachers, heads, sessions, failed attempts, tokens.

Every use case takes its actor and the time as arguments. Of students nothing is kept here but the token of a
phone. What a teacher may do with a practical is decided in `lesson.permission`.
"""
