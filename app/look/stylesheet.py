"""The tokens as custom properties, a stylesheet for each kind of page: `python -m app.look` writes them.

The phone's has no face to load; the wall's sizes follow the wall; what print needs stands by itself.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import asdict

from app.look.faces import ARABIC, FACES, HEAD, TEXT, Face
from app.look.tokens import (
    DARK,
    DESK_FLUID,
    DESK_PX,
    FIGURE_PAGE_MM,
    LIGHT,
    LINE,
    LINE_ARABIC,
    PHONE_FLUID,
    PHONE_PX,
    PRINT_INKS,
    PRINT_MARGIN_MM,
    PRINT_PT,
    PRINT_SPACES_MM,
    RADIUS_PX,
    SPACES_PX,
    TARGET_PX,
    WALL,
    WALL_BASE,
    WALL_BRIGHT,
    WALL_DARK,
    WALL_SPACES,
    WHITE,
    Inks,
)

_NOTE = "/* Written by `python -m app.look` from app/look/tokens.py: change it there. */\n"
_SYSTEM = 'system-ui, "Segoe UI", Roboto, "Noto Sans", "Noto Sans Arabic", sans-serif'
_USUAL_PX = 16
"""A browser's usual letter size, on which a rem is counted (CSS Values, "rem")."""

SURFACES = {"light": LIGHT, "dark": DARK, "wall-bright": WALL_BRIGHT, "wall-dark": WALL_DARK}
"""Everything that pages lie on, by the class that gives a part of the page `/look` its colours."""

Names = dict[str, str]


def stylesheets() -> dict[str, str]:
    """Each file of `static/css` that is written from the tokens, with its text."""
    return {
        "tokens-phone.css": phone(),
        "tokens-desk.css": desk(),
        "tokens-print.css": printed(),
        "tokens-wall.css": wall(),
        "tokens-look.css": look(),
    }


def phone() -> str:
    """The phone's: the system's own face, in both themes."""
    names = _colours(LIGHT) | _lengths("size", PHONE_PX) | _fluid(PHONE_FLUID) | _spaces() | _line(LINE)
    names |= {"face-head": _SYSTEM, "face-text": _SYSTEM}
    return _NOTE + _root("light", names) + _in_the_dark() + _in_arabic()


def desk() -> str:
    """The desk's: faces that appear as soon as they are there, and both themes."""
    names = (
        _colours(LIGHT) | _lengths("size", DESK_PX) | _fluid(DESK_FLUID) | _spaces() | _line(LINE) | _faces()
    )
    return _NOTE + _font_faces("swap") + _root("light", names) + _in_the_dark() + _in_arabic()


def printed() -> str:
    """What goes onto paper: sizes, spaces and inks of print, beside those of the page's own medium."""
    names = {f"print-{name}": f"{size:g}pt" for name, size in PRINT_PT.items()}
    names |= {f"print-space-{space}": f"{space}mm" for space in PRINT_SPACES_MM}
    names |= {"print-figure": f"{FIGURE_PAGE_MM:g}mm"}
    names |= {"white": WHITE, "ink-printed": PRINT_INKS.ink, "soft-printed": PRINT_INKS.soft}
    on_paper = f"@page {{ margin: {PRINT_MARGIN_MM:g}mm; }}\n"
    on_paper += f"@media print {{\n{_root('light', _colours(PRINT_INKS))}}}\n"
    return f"{_NOTE}:root {{\n{_lines(names)}}}\n{on_paper}"


def wall() -> str:
    """The wall's: faces waited for, since nothing may jump before a class; sizes and spaces in its base."""
    names = _colours(WALL_BRIGHT) | {"base": WALL_BASE} | _faces() | _line(LINE) | _edges()
    names |= {f"size-{name}": _wall_size(size) for name, size in WALL.items()}
    names |= {f"space-{name}": _bases(size) for name, size in WALL_SPACES.items()}
    return (
        _NOTE
        + _font_faces("block")
        + _root("light", names)
        + _root("dark", _colours(WALL_DARK), ":root.wall-dark")
        + _in_arabic()
    )


def look() -> str:
    """The colours of every surface on one page, for `/look`."""
    surfaces = (
        _root("dark" if name.endswith("dark") else "light", _colours(inks), f".surface.{name}")
        for name, inks in SURFACES.items()
    )
    shared = (
        ".surface { background: var(--paper); color: var(--ink); padding: var(--space-24); "
        "display: grid; gap: var(--space-24); "
        "grid-template-columns: repeat(auto-fit, minmax(20rem, 1fr)); }\n"
        ".surface h2 { grid-column: 1 / -1; }\n.look-upright { display: grid; height: 10rem; }\n"
    )
    return _NOTE + "".join(surfaces) + shared


def _colours(inks: Inks) -> Names:
    of_fields = {name.replace("_", "-"): str(value) for name, value in asdict(inks).items()}
    return of_fields | {"focus": "var(--ink)"}


def _lengths(kind: str, sizes: Mapping[str, float]) -> Names:
    return {f"{kind}-{name}": f"{size / _USUAL_PX:g}rem" for name, size in sizes.items()}


def _spaces() -> Names:
    return _lengths("space", {str(space): space for space in SPACES_PX}) | _edges()


def _edges() -> Names:
    return {"radius": f"{RADIUS_PX}px", "target": f"{TARGET_PX / _USUAL_PX:g}rem"}


def _fluid(sizes: Mapping[str, str]) -> Names:
    return {f"size-{name}": size for name, size in sizes.items()}


def _bases(size: float) -> str:
    return "var(--base)" if size == 1 else f"calc({size:g} * var(--base))"


def _wall_size(size: float) -> str:
    """In bases; never smaller than a browser's usual letters, on whatever window."""
    return _bases(size) if size >= 1 else f"max(1rem, {_bases(size)})"


def _line(heights: Mapping[str, float]) -> Names:
    return {f"line-{name}": f"{height:g}" for name, height in heights.items()}


def _faces() -> Names:
    return {
        "face-head": f'"{HEAD}", "{ARABIC}", Georgia, serif',
        "face-text": f'"{TEXT}", "{ARABIC}", {_SYSTEM}',
    }


def _root(scheme: str, names: Names, selector: str = ":root") -> str:
    return f"{selector} {{\n  color-scheme: {scheme};\n{_lines(names)}}}\n"


def _lines(names: Names) -> str:
    return "".join(f"  --{name}: {value};\n" for name, value in names.items())


def _in_the_dark() -> str:
    return f"@media screen and (prefers-color-scheme: dark) {{\n{_root('dark', _colours(DARK))}}}\n"


def _in_arabic() -> str:
    lines = "".join(f" --{name}: {value};" for name, value in _line(LINE_ARABIC).items())
    return f":lang(ar) {{{lines} letter-spacing: 0 !important; }}\n"


def _font_faces(display: str) -> str:
    return "".join(_font_face(face, display) for face in FACES)


def _font_face(face: Face, display: str) -> str:
    digest = hashlib.sha256(face.woff2.read_bytes()).hexdigest()[:10]
    return (
        f'@font-face {{ font-family: "{face.family}"; font-weight: {face.weight}; font-display: {display}; '
        f'src: url("../fonts/{face.woff2.name}?v={digest}") format("woff2");{_only_for(face)} }}\n'
    )


def _only_for(face: Face) -> str:
    if face.family != ARABIC:
        return ""
    return f" unicode-range: U+{min(face.characters):04X}-{max(face.characters):04X};"
