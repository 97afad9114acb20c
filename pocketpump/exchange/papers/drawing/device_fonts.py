"""Letters from the font files of the system, on a desktop; read with fontTools.

Only the table of letters of each file is read, one file after the other and each once, and only
as far as a letter needs that no bundled font has. A file that cannot be read is passed over.
"""

import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from pocketpump.exchange.papers.drawing.borrowable import is_borrowable
from pocketpump.exchange.papers.drawing.lending import EM, LentLetter, Stroke

_ENDINGS = {".ttf", ".otf", ".ttc", ".otc"}
_NOT_PLAIN = ("black", "bold", "condensed", "display", "fallback", "heavy", "italic", "lastresort",
              "light", "medium", "mono", "narrow", "oblique", "script", "serif", "thin",
              "unifont")  # fmt: skip
"""What the names of fonts say that are not for plain text."""
_MAY_NOT_BE_EMBEDDED = 2
"""The licence bits of a font (OS/2 fsType) that forbid to put its letters into a file."""
_PRECISION = 1.0
"""How far a curve may be from the font's own, in `EM` units."""


def font_folders(
    platform: str = sys.platform, environment: Mapping[str, str] = os.environ
) -> list[Path]:
    """Return where a system keeps its fonts and those of the person."""
    home = Path(environment.get("HOME") or environment.get("USERPROFILE") or ".")
    if platform == "win32":
        own = Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local")
        system = Path(environment.get("WINDIR") or "C:/Windows")
        return [system / "Fonts", own / "Microsoft" / "Windows" / "Fonts"]
    if platform == "darwin":
        return [Path("/System/Library/Fonts"), Path("/Library/Fonts"), home / "Library/Fonts"]
    return [Path("/usr/share/fonts"), Path("/usr/local/share/fonts"),
            home / ".local/share/fonts", home / ".fonts"]  # fmt: skip


class DeviceFonts:
    """The font files in ``folders``, those for plain text first; opened when asked."""

    def __init__(self, folders: Sequence[Path] | None = None) -> None:
        self._folders = font_folders() if folders is None else folders
        self._of: dict[int, list[Path]] = {}
        self._unread: Iterator[Path] | None = None

    def with_letter(self, letter: str) -> Iterator[Path]:
        """Yield the files that have ``letter``; further ones are read only when asked for."""
        known = self._of.setdefault(ord(letter), [])
        given = 0
        while True:
            while given < len(known):
                yield known[given]
                given += 1
            if not self._read_one():
                return

    def _read_one(self) -> bool:
        if self._unread is None:
            self._unread = iter(_files(self._folders))
        path = next(self._unread, None)
        if path is None:
            return False
        for code in _letters(path):
            self._of.setdefault(code, []).append(path)
        return True


def lent_by_fonts(fonts: DeviceFonts, letter: str) -> LentLetter | None:
    """Return ``letter`` as the first of ``fonts`` draws it that can; None if none does."""
    for path in fonts.with_letter(letter):
        try:
            found = _drawn(path, letter)
        except Exception:  # a broken file may raise whatever there is
            continue
        if found.outline:
            return found
    return None


def _files(folders: Sequence[Path]) -> list[Path]:
    found = {
        Path(folder) / name
        for top in folders
        for folder, _, names in os.walk(top)
        for name in names
        if Path(name).suffix.lower() in _ENDINGS
    }
    return sorted(filter(_is_file, found), key=_rank)


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:
        return False


def _rank(path: Path) -> tuple[int, bool, str]:
    name = path.stem.lower().replace("sansserif", "sans")
    return sum(word in name for word in _NOT_PLAIN), "sans" not in name, str(path)


def _letters(path: Path) -> list[int]:
    """Return the code points that may be borrowed from the file at ``path``."""
    try:
        with _opened(path) as file:
            letters: dict[int, str] = file.getBestCmap() or {}
            # A font of last resort draws a box for every letter.
            if 2 * len(set(letters.values())) < len(letters):
                return []
            if "OS/2" in file and file["OS/2"].fsType & 0xF == _MAY_NOT_BE_EMBEDDED:
                return []
    except Exception:  # a broken file may raise whatever there is
        return []
    return [code for code in letters if is_borrowable(chr(code))]


def _drawn(path: Path, letter: str) -> LentLetter:
    from fontTools.pens.cu2quPen import Cu2QuPen
    from fontTools.pens.recordingPen import DecomposingRecordingPen
    from fontTools.pens.transformPen import TransformPen

    with _opened(path) as file:
        # Of a variable font the regular weight; its first may be hair-thin.
        weights = [axis for axis in file["fvar"].axes if axis.axisTag == "wght"] \
            if "fvar" in file else []  # fmt: skip
        glyphs = file.getGlyphSet(location={"wght": 400} if weights else None)
        glyph = glyphs[file.getBestCmap()[ord(letter)]]
        units = file["head"].unitsPerEm
        scale = EM / units
        pen = DecomposingRecordingPen(glyphs)
        is_cubic = "glyf" not in file
        shaping = Cu2QuPen(pen, _PRECISION, reverse_direction=True) if is_cubic else pen
        glyph.draw(TransformPen(shaping, (scale, 0, 0, scale, 0, 0)))
        return LentLetter(letter, glyph.width / units, _strokes(pen.value))


def _strokes(steps: Sequence[tuple[str, Any]]) -> tuple[Stroke, ...]:
    strokes: list[Stroke] = []
    for step, points in steps:
        if points and points[-1] is None:
            # A contour of bends alone: it begins half way between the last and the first.
            (*_, (ax, ay), _), (bx, by) = points, points[0]
            start = ((ax + bx) / 2, (ay + by) / 2)
            strokes += [("moveTo", (start,)), (step, (*points[:-1], start))]
        else:
            # What a font leaves open is filled all the same.
            strokes.append(("closePath" if step == "endPath" else step, tuple(points)))
    return tuple(strokes)


def _opened(path: Path) -> Any:
    from fontTools.ttLib import TTFont

    # Of a collection the first: its faces are weights or countries, with the same letters.
    return TTFont(path, fontNumber=0, lazy=True)
