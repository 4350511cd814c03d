"""Pages for the department: each shelf shows the room of app/practicals that has its name.

`people` has a second blueprint, for signing in; the pages of one's own account stand at the desk.
"""

from app.web.department import archive, bring_in, kit, out, people
from app.web.department.blueprint import blueprint

__all__ = ["archive", "blueprint", "bring_in", "kit", "out", "people"]
