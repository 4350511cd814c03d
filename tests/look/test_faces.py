"""The faces that travel with the program: what their files hold, and under which names and licences."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont, newTable
from fontTools.ttLib.tables.ttProgram import Program

from app.look import subsets
from app.look.faces import FACES, Face, fonts_dir
from app.look.stylesheet import desk, phone, wall
from app.look.subsets import LICENCES, cut

LARGEST = {"woff2": 40_000, "ttf": 100_000}
"""Bytes of one file; the specification of the look has 36 and 93 KB."""

each_face = pytest.mark.parametrize("face", FACES, ids=lambda face: face.name)
each_file = pytest.mark.parametrize("ending", LARGEST)


def opened(face: Face, ending: str) -> Any:
    return TTFont(getattr(face, ending))


@each_face
@each_file
def test_a_face_is_there_under_our_own_name_and_small(face: Face, ending: str) -> None:
    font, path = opened(face, ending), getattr(face, ending)
    assert path.stat().st_size < LARGEST[ending]
    assert (font["name"].getDebugName(1), font["OS/2"].usWeightClass) == (face.family, face.weight)
    # SIL Open Font License 1.1, condition 3: a changed font carries no reserved name.
    named = " ".join(str(font["name"].getDebugName(number)) for number in (1, 2, 3, 4, 6, 16, 17))
    assert not re.search("bitter|fira|noto", named, re.IGNORECASE)


@each_face
def test_its_licence_lies_beside_it(face: Face) -> None:
    text = (fonts_dir() / face.licence).read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert text.startswith("Copyright")


@each_face
@each_file
def test_it_has_the_characters_it_is_for(face: Face, ending: str) -> None:
    cmap = opened(face, ending).getBestCmap()
    common = (
        "aßÉœ0123456789−²³°·±×½“”’–…"
        if face.family != "Plumb Arabic"
        else "ابتثجحخدذرزسشصضطظعغفقكلمنهويءأإآؤئةى،؛؟"
    )
    assert [sign for sign in common if ord(sign) not in cmap] == []
    assert set(cmap) <= set(face.characters)


@each_face
def test_the_digits_of_figures_and_pdfs_are_all_of_one_width(face: Face) -> None:
    font = opened(face, "ttf")
    cmap, widths = font.getBestCmap(), font["hmtx"]
    assert len({widths[cmap[ord(digit)]][0] for digit in "0123456789" if ord(digit) in cmap}) <= 1


def test_pages_can_ask_for_digits_of_one_width() -> None:
    for face in (one for one in FACES if one.family != "Plumb Arabic"):
        records = opened(face, "woff2")["GSUB"].table.FeatureList.FeatureRecord
        assert "tnum" in {record.FeatureTag for record in records}


@pytest.fixture
def sources(tmp_path: Path) -> Path:
    """Our own files in the places of the fonts they were cut from, which are not in the repository."""
    for face in FACES:
        folder = tmp_path / "sources" / face.licence.removesuffix(".txt")
        folder.mkdir(parents=True, exist_ok=True)
        shutil.copy(face.woff2, folder / face.source)
        shutil.copy(fonts_dir() / face.licence, folder / LICENCES[0])
    return tmp_path / "sources"


@each_face
def test_a_cut_of_what_was_cut_already_is_the_same_again(face: Face, tmp_path: Path) -> None:
    """Cutting needs only what it keeps."""
    again = cut(face.woff2, face, frozen=False)
    again.save(tmp_path / face.woff2.name, reorderTables=None)
    assert (tmp_path / face.woff2.name).read_bytes() == face.woff2.read_bytes()


def test_a_cut_keeps_the_characters_that_are_asked_for_and_no_hints(tmp_path: Path) -> None:
    font, hints = opened(FACES[0], "ttf"), newTable("prep")
    hints.program = Program()
    hints.program.fromBytecode([0xB0, 0x00])  # PUSHB[0] 0 (OpenType specification, "instruction set")
    font["prep"] = hints
    font.save(tmp_path / "hinted.ttf")
    few = cut(tmp_path / "hinted.ttf", replace(FACES[0], characters=tuple(b"AB")), frozen=False)
    assert set(few.getBestCmap()) == set(b"AB")
    assert "prep" not in few


def test_all_files_are_cut_at_once_with_their_licences(
    tmp_path: Path, sources: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Without the Arabic ones: the digits that are frozen at the cut are not in what they kept.
    monkeypatch.setattr(subsets, "FACES", FACES[:3])
    written = subsets.make_all(sources, tmp_path)
    assert {path.name for path in written} == {
        name for face in FACES[:3] for name in (face.woff2.name, face.ttf.name, face.licence)
    }
    for path in written:
        ours = fonts_dir() / path.name
        if path.suffix == ".ttf":
            again, kept = TTFont(path), TTFont(ours)
            assert again.keys() == kept.keys()
            # "head" has the sum of the whole file, which differs with the packing of what it was cut from.
            tables = set(kept.keys()) - {"GlyphOrder", "head"}
            assert [name for name in tables if again.getTableData(name) != kept.getTableData(name)] == []
        else:
            assert path.read_bytes() == ours.read_bytes(), path.name


def test_a_font_without_a_licence_or_twice_in_the_folder_is_refused(sources: Path) -> None:
    twice = sources / "again"
    twice.mkdir()
    shutil.copy(FACES[0].woff2, twice / FACES[0].source)
    with pytest.raises(SystemExit, match=rf"{FACES[0].source}: one file is wanted, 2 are there"):
        subsets.make_all(sources, sources)
    shutil.rmtree(twice)
    for licence in sources.rglob(LICENCES[0]):
        licence.unlink()
    with pytest.raises(SystemExit, match=f"{FACES[0].source} has no licence beside it"):
        subsets.make_all(sources, sources)


def test_the_phone_loads_no_face_and_nothing_is_loaded_from_elsewhere() -> None:
    assert "@font-face" not in phone()
    for text in (desk(), wall()):
        addresses = re.findall(r'url\("([^"?]+)', text)
        assert [(fonts_dir().parent / "css" / address).resolve() for address in addresses] == [
            face.woff2.resolve() for face in FACES
        ]
    assert desk().count("font-display: swap") == wall().count("font-display: block") == len(FACES)
