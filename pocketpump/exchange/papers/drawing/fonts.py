"""The fonts, bundled and borrowed, and which draws which letter; read with fontTools.

fontTools is imported when a font is first opened: on the phone it comes after the app is up.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from importlib import resources
from importlib.resources.abc import Traversable
from io import BytesIO
from pathlib import Path
from typing import Any

import pocketpump
from pocketpump.core.errors import PocketPumpError, Problem, shown
from pocketpump.core.messages import joined, message
from pocketpump.exchange.papers.drawing import borrowed
from pocketpump.exchange.papers.drawing.lending import EM, LentLetter, lent

NAMES = ("PocketPumpLatin", "PocketPumpArabic", "PocketPumpChinese", "PocketPumpJapanese")
UNKNOWN = "\ufffd"
"""Drawn in place of a letter that no font has, so that a gap is seen."""
_MISSING = {
    "fonts": message("The fonts of PocketPump are missing: install PocketPump again."),
    "phrases": message("The phrases of PocketPump are missing: install PocketPump again."),
}
_NOT_YET_HERE = message(
    "The part of PocketPump that makes pages is not on this phone yet: connect to the internet"
    " once, wait a minute, and try again."
)


@dataclass(frozen=True)
class Font:
    """A TrueType font; glyphs are named as the file names them."""

    name: str
    data: bytes = field(repr=False)

    @cached_property
    def _file(self) -> Any:
        try:
            from fontTools.ttLib import TTFont
        except (ImportError, OSError) as error:
            raise PocketPumpError(_NOT_YET_HERE) from error
        return TTFont(BytesIO(self.data), lazy=True)

    @cached_property
    def letters(self) -> dict[int, str]:
        """Which glyph draws which code point."""
        return dict(self._file.getBestCmap())

    @cached_property
    def _advances(self) -> dict[str, float]:
        units = self._file["head"].unitsPerEm
        return {name: wide / units for name, (wide, _) in self._file["hmtx"].metrics.items()}

    def width(self, glyph: str) -> float:
        """Return how far the pen moves on after ``glyph``, in ems."""
        return self._advances[glyph]

    def outline(self, glyph: str) -> str:
        """Return ``glyph`` as the data of an SVG path in `EM` units, up being positive."""
        from fontTools.pens.svgPathPen import SVGPathPen
        from fontTools.pens.transformPen import TransformPen

        glyphs = self._file.getGlyphSet()
        pen = SVGPathPen(glyphs)
        scale = EM / self._file["head"].unitsPerEm
        glyphs[glyph].draw(TransformPen(pen, (scale, 0, 0, scale, 0, 0)))
        return str(pen.getCommands())


def asset_folder(name: str) -> Traversable:
    """Return the folder "fonts" or "phrases" of the assets: installed, in a checkout, in a zip.

    Raises `PocketPumpError` when it is not there.
    """
    beside = Path(pocketpump.__file__).parents[1] / "assets" / name
    # On the phone the package is imported from a zip, where only resources can be read.
    for folder in (resources.files(pocketpump) / "assets" / name, beside):
        if folder.is_dir():
            return folder
    raise PocketPumpError(_MISSING[name])


@lru_cache(maxsize=len(NAMES))
def font(name: str) -> Font:
    """Return the bundled font ``name``, one of `NAMES`."""
    return Font(name, (asset_folder("fonts") / f"{name}.ttf").read_bytes())


def glyph_of(letter: str, language: str = "en") -> tuple[Font, str]:
    """Return the font and the glyph that draw ``letter``.

    Chinese and Japanese share code points and draw them differently, so the ``language``
    of the text decides between them. What no bundled font has is borrowed from the device, in a
    font of that letter alone; what that has not either comes back as `UNKNOWN`.
    """
    bundled = _bundled(letter, language)
    if bundled:
        return bundled
    found = lent(letter)
    if found:
        alone = _alone(found)
        return alone, alone.letters[ord(letter)]
    latin = font(NAMES[0])
    return latin, latin.letters[ord(UNKNOWN)]


@lru_cache(maxsize=4096)
def _bundled(letter: str, language: str) -> tuple[Font, str] | None:
    order = [*NAMES[:2], *(NAMES[:1:-1] if language == "ja" else NAMES[2:])]
    for name in order:
        glyph = font(name).letters.get(ord(letter))
        if glyph:
            return font(name), glyph
    return None


@lru_cache(maxsize=2048)
def _alone(found: LentLetter) -> Font:
    return borrowed_font((found,))


def borrowed_font(letters: Iterable[LentLetter]) -> Font:
    """Return a font of borrowed ``letters``."""
    return Font(borrowed.BORROWED, borrowed.font_file(letters))


def letters_in_fonts(letters: str, language: str) -> list[tuple[str, Font, float]]:
    """Return each letter as it is drawn, its font and its width in ems."""
    found = []
    for letter in letters:
        font, glyph = glyph_of(letter, language)
        drawn = letter if ord(letter) in font.letters else UNKNOWN
        found.append((drawn, font, font.width(glyph)))
    return found


def undrawable(text: str, instead: str) -> tuple[Problem, ...]:
    """Return what of ``text`` no font can draw, and what to use ``instead``."""
    lost = missing(text)
    if not lost:
        return ()
    told = message(
        "These letters cannot be drawn and stand as a mark: {letters}", letters=shown(lost)
    )
    return (Problem("letters", joined(" ", (told, instead))),)


def missing(text: str) -> str:
    """Return the letters of ``text`` that no font has, each once: no bundled nor borrowed one."""
    has = [font(name).letters for name in NAMES]
    seen = (c for c in dict.fromkeys(text) if c.isprintable() and not c.isspace())
    unbundled = (c for c in seen if not any(ord(c) in letters for letters in has))
    return "".join(c for c in unbundled if lent(c) is None)
