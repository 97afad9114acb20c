"""The bundled fonts, and which of them draws which letter."""

from functools import lru_cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

import pocketpump
from pocketpump.core.errors import PocketPumpError, Problem, shown
from pocketpump.core.messages import joined, message
from pocketpump.exchange.papers.drawing.truetype import Font

NAMES = ("PocketPumpLatin", "PocketPumpArabic", "PocketPumpChinese", "PocketPumpJapanese")
_UNKNOWN = 0xFFFD
"""Drawn in place of a letter that no bundled font has, so that a gap is seen."""
_MISSING = {
    "fonts": message("The fonts of PocketPump are missing: install PocketPump again."),
    "phrases": message("The phrases of PocketPump are missing: install PocketPump again."),
}


def asset_folder(name: str) -> Traversable:
    """Return the folder "fonts" or "phrases" of the assets: installed, in a checkout, in a zip."""
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


def font_for(letter: str, language: str = "en") -> tuple[Font, int]:
    """Return the font and the glyph that draw ``letter``.

    Chinese and Japanese share code points and draw them differently, so the ``language``
    of the text decides between them. A letter no font has comes back as the mark for it.
    """
    code = ord(letter)
    order = [*NAMES[:2], *(NAMES[:1:-1] if language == "ja" else NAMES[2:])]
    for name in order:
        glyph = font(name).letters.get(code)
        if glyph:
            return font(name), glyph
    latin = font(NAMES[0])
    return latin, latin.letters[_UNKNOWN]


def undrawable(text: str, instead: str) -> tuple[Problem, ...]:
    """Return what of ``text`` no bundled font can draw, and what to use ``instead``."""
    lost = missing(text)
    if not lost:
        return ()
    told = message(
        "These letters cannot be drawn and stand as a mark: {letters}", letters=shown(lost)
    )
    return (Problem("letters", joined(" ", (told, instead))),)


def missing(text: str) -> str:
    """Return the letters of ``text`` that no bundled font has, each once."""
    has = [font(name).letters for name in NAMES]
    lost = (c for c in dict.fromkeys(text) if c.isprintable() and not c.isspace())
    return "".join(c for c in lost if not any(ord(c) in letters for letters in has))
