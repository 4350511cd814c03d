"""Which tests ought to notice a fault in a module: those of its room, and those that stand on it."""

from __future__ import annotations

from pathlib import Path, PurePosixPath

SOURCES = "app"
ALSO = {
    "physics": ("tests/reference",),
    "statistics": ("tests/reference", "tests/analysis"),
    "analysis": ("tests/reference", "tests/test_cli_analyse.py"),
    "exports": ("tests/web/desk", "tests/test_cli_analyse.py"),
    "records": ("tests/practicals",),
    "practicals": ("tests/web",),
    "figures": ("tests/web/board",),
    "look": ("tests/web/test_look.py", "tests/figures"),
    "cli.py": ("tests/recipes",),
    "cli_keeping.py": ("tests/records/test_upgrading.py",),
    "serving.py": ("tests/test_cli.py",),
    "connections.py": ("tests/test_serving.py", "tests/faults/test_stalled_phones.py"),
}


def modules(root: Path) -> list[str]:
    """Every module of the program, as a path with slashes."""
    return sorted(path.relative_to(root).as_posix() for path in (root / SOURCES).rglob("*.py"))


def rooms_of(module: str, root: Path) -> list[str]:
    """Folders and files of tests for a module's path, only such as there are."""
    parts = PurePosixPath(module).parts[1:]
    if len(parts) > 1 and parts[0] != "web":
        wanted = [f"tests/{parts[0]}", *ALSO.get(parts[0], ())]
    elif parts[0] == "web" and len(parts) > 2:
        wanted = [f"tests/web/{parts[1]}", "tests/web/safety", "tests/web/test_time_zone.py"]
    elif parts[0] == "web":
        wanted = ["tests/web"]
    else:
        wanted = _at_the_top(parts[0], root)
    return [name for name in wanted if (root / name).exists()]


def _at_the_top(name: str, root: Path) -> list[str]:
    stem = "cli" if name.startswith("cli_") else name.removesuffix(".py")
    own = sorted((root / "tests").glob(f"test_{stem}*.py"))
    found = [*(path.relative_to(root).as_posix() for path in own), *ALSO.get(name, ())]
    return found or ["tests/test_cli.py", "tests/web"]
