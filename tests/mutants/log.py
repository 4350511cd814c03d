"""What became of the faults that were tried, in a file of one line each, so that a run can go on later."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from tests.mutants.faults import Fault
from tests.mutants.trial import Outcome


class Log:
    """Outcomes by fault. A fault in a module that has changed is another fault. No file: none is kept."""

    def __init__(self, file: Path | None, root: Path) -> None:
        self.file, self.root = file, root
        lines = file.read_text(encoding="utf-8").splitlines() if file is not None and file.exists() else []
        self._known = {str(one["fault"]): Outcome(one["outcome"]) for one in map(json.loads, lines)}

    def known(self, fault: Fault) -> Outcome | None:
        """What became of this fault, or None if it was not tried."""
        return self._known.get(self._key(fault))

    def note(self, fault: Fault, outcome: Outcome) -> None:
        """Keep what became of it."""
        if self.file is not None:
            with self.file.open("a", encoding="utf-8") as lines:
                lines.write(
                    json.dumps({"fault": self._key(fault), "outcome": outcome, "what": str(fault)}) + "\n"
                )

    def _key(self, fault: Fault) -> str:
        digest = hashlib.sha256((self.root / fault.path).read_bytes()).hexdigest()[:16]
        return f"{fault.path} {digest} {fault.start} {fault.end} {fault.new}"
