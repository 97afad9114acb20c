"""Small fonts made for a test, as files or as a browser would draw them."""

from pathlib import Path

from fontTools.fontBuilder import FontBuilder
from fontTools.pens.t2CharStringPen import T2CharStringPen
from fontTools.pens.ttGlyphPen import TTGlyphPen

UNITS = 2048
"""Of the fonts' files; not those of the pages."""


def ring(pen, side: int = 1500, hole: int = 500) -> None:
    """A square with a square hole, clockwise outside, standing on the baseline."""
    low, high = (side - hole) // 2, (side + hole) // 2
    for points in (
        [(0, 0), (0, side), (side, side), (side, 0)],
        [(low, low), (high, low), (high, high), (low, high)],
    ):
        pen.moveTo(points[0])
        for point in points[1:]:
            pen.lineTo(point)
        pen.closePath()


def make_font(path: Path, letters: str, *, cubic: bool = False, draw=ring, licence: int = 0,
              glyph_of=lambda letter: f"g{ord(letter):X}") -> Path:  # fmt: skip
    """Write a font in which each of ``letters`` is a ring three quarters of an em wide."""
    names = list(dict.fromkeys(map(glyph_of, letters)))
    order = [".notdef", *names]
    builder = FontBuilder(UNITS, isTTF=not cubic)
    builder.setupGlyphOrder(order)
    builder.setupCharacterMap({ord(letter): glyph_of(letter) for letter in letters})
    glyphs = {}
    for name in order:
        pen = T2CharStringPen(1600, None) if cubic else TTGlyphPen(None)
        if name != ".notdef":
            draw(pen)
        glyphs[name] = pen.getCharString() if cubic else pen.glyph()
    if cubic:
        builder.setupCFF("Test", {}, glyphs, {})
    else:
        builder.setupGlyf(glyphs)
    begins = {name: 0 if cubic else getattr(glyphs[name], "xMin", 0) for name in order}
    builder.setupHorizontalMetrics({name: (1600, begin) for name, begin in begins.items()})
    builder.setupHorizontalHeader(ascent=1800, descent=-400)
    builder.setupNameTable({"familyName": "Test", "styleName": "Regular"})
    builder.setupOS2(fsType=licence)
    builder.setupPost()
    path.parent.mkdir(parents=True, exist_ok=True)
    builder.save(path)
    return path
