"""Fonts made of borrowed letters, so that a page holds them as text like any other."""

from collections.abc import Iterable
from io import BytesIO

from pocketpump.exchange.papers.drawing.lending import EM, LentLetter

BORROWED = "PocketPumpBorrowed"
"""The name of such a font, whatever letters it has."""
_ALWAYS = 3_029_529_600
"""2000 as fonts count, in seconds from 1904: equal fonts are equal bytes."""
_ASCENT, _DESCENT = 1069, -293


def font_file(letters: Iterable[LentLetter]) -> bytes:
    """Return a TrueType font of these ``letters``, each given once: equal ones, equal bytes."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.ttGlyphPen import TTGlyphPen

    named = {f"u{ord(one.letter):04X}": one for one in sorted(letters, key=lambda one: one.letter)}
    glyphs = {".notdef": TTGlyphPen(None).glyph()}
    for name, one in named.items():
        pen = TTGlyphPen(None)
        for step, points in one.outline:
            getattr(pen, step)(*points)
        glyphs[name] = pen.glyph()
    builder = FontBuilder(EM, isTTF=True)
    builder.updateHead(created=_ALWAYS, modified=_ALWAYS)
    builder.setupGlyphOrder(list(glyphs))
    builder.setupCharacterMap({ord(one.letter): name for name, one in named.items()})
    builder.setupGlyf(glyphs)
    wide = {name: round(one.advance * EM) for name, one in named.items()} | {".notdef": EM}
    beside = builder.font["glyf"]
    builder.setupHorizontalMetrics(
        {name: (width, getattr(beside[name], "xMin", 0)) for name, width in wide.items()}
    )
    builder.setupHorizontalHeader(ascent=_ASCENT, descent=_DESCENT)
    builder.setupNameTable({"familyName": BORROWED, "styleName": "Regular",
                            "fullName": BORROWED, "psName": BORROWED})  # fmt: skip
    builder.setupOS2(sTypoAscender=_ASCENT, sTypoDescender=_DESCENT)
    builder.setupPost()
    written = BytesIO()
    builder.save(written)
    return written.getvalue()
