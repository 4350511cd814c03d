"""Signing in, the own account, colleagues and their roles, the log, and what is kept about a person."""

from app.web.department.people import account, log, person, sign_in, teachers, ways_in

__all__ = ["account", "log", "person", "sign_in", "teachers", "ways_in"]
