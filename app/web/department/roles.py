"""What the roles are called."""

from __future__ import annotations

from app.records.choices import Role
from app.words import N_, Message

ROLE_NAMES = {
    Role.TEACHER: Message(N_("teacher")),
    Role.HEAD: Message(N_("head of department")),
    Role.TECHNICIAN: Message(N_("technician")),
}
