"""Cut the faces from the fonts as their makers publish them: `python -m app.look.subsets FOLDER`.

FOLDER holds, at any depth, the files that `app.look.faces` names as sources, each with a licence file
(LICENSE_FONT or OFL.txt) in its own folder or in one above. Bitter 3.021, Fira Sans 4.203 and Noto Sans
Arabic 2.012 were taken. The same fonts give the same bytes.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont

from app.look.faces import FACES, Face, fonts_dir

LICENCES = ("LICENSE_FONT", "OFL.txt")
_FAMILY, _STYLE, _WHOLE, _POSTSCRIPT = 1, 2, 4, 6
_COPYRIGHT, _LICENCE, _LICENCE_ADDRESS = 0, 13, 14
"""The numbers of entries in a font's name table (OpenType specification, "name")."""
_STYLES = {400: "Regular", 600: "SemiBold", 700: "Bold"}


def make_all(sources: Path, into: Path) -> list[Path]:
    """Write every face as WOFF2 and TTF, and its licence, into a folder; the files written."""
    written: list[Path] = []
    for face in FACES:
        source = _only(sorted(sources.rglob(face.source)), face.source)
        for ending in ("woff2", "ttf"):
            font = cut(source, face, frozen=ending == "ttf")
            font.flavor = "woff2" if ending == "woff2" else None
            written.append(into / f"{face.name}.{ending}")
            font.save(written[-1], reorderTables=None)
        written.append(into / face.licence)
        written[-1].write_bytes(_licence_of(source).read_bytes())
    return written


def cut(source: Path, face: Face, *, frozen: bool) -> Any:
    """The face as a font in memory. `frozen`: its digits are the tabular ones, with no feature to ask for."""
    font: Any = TTFont(source, recalcTimestamp=False)
    if frozen:
        _freeze_digits(font)
    options = Options()
    options.hinting = False
    options.name_IDs = [_COPYRIGHT, _LICENCE, _LICENCE_ADDRESS]
    options.notdef_outline = True
    features = {
        "kern",
        "mark",
        "mkmk",
        "ccmp",
        "locl",
        "rlig",
        "init",
        "medi",
        "fina",
        "isol",
        "curs",
        "calt",
    }
    options.layout_features = sorted(features if frozen else features | {"tnum", "lnum"})
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=face.characters)
    subsetter.subset(font)
    _rename(font, face)
    return font


def _freeze_digits(font: Any) -> None:
    """Let the digits' characters lead to the digits of one width."""
    table = font["GSUB"].table
    lookups = {
        index
        for record in table.FeatureList.FeatureRecord
        if record.FeatureTag == "tnum"
        for index in record.Feature.LookupListIndex
    }
    mapping: dict[str, str] = {}
    for index in sorted(lookups):
        for subtable in table.LookupList.Lookup[index].SubTable:
            mapping |= getattr(subtable, "ExtSubTable", subtable).mapping
    for cmap in font["cmap"].tables:
        if cmap.isUnicode():
            for digit in map(ord, "0123456789"):
                cmap.cmap[digit] = mapping.get(cmap.cmap[digit], cmap.cmap[digit])


def _rename(font: Any, face: Face) -> None:
    style = _STYLES[face.weight]
    names = {
        _FAMILY: face.family,
        _STYLE: style,
        _WHOLE: f"{face.family} {style}",
        _POSTSCRIPT: f"{face.family.replace(' ', '')}-{style}",
    }
    for number, text in names.items():
        font["name"].setName(text, number, 3, 1, 0x409)  # Windows, Unicode, English


def _licence_of(source: Path) -> Path:
    for folder in source.parents:
        for name in LICENCES:
            if (folder / name).is_file():
                return folder / name
    raise SystemExit(f"{source.name} has no licence beside it ({' or '.join(LICENCES)})")


def _only(found: list[Path], name: str) -> Path:
    if len(found) != 1:
        raise SystemExit(f"{name}: one file is wanted, {len(found)} are there")
    return found[0]


if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit("Usage: python -m app.look.subsets FOLDER")
    for path in make_all(Path(sys.argv[1]), fonts_dir()):
        print(f"{path.name}: {path.stat().st_size} bytes")
