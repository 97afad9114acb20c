"""Make the small fonts in ``assets/fonts`` from Debian's Noto fonts; run at development time.

Latin, Greek and Cyrillic are kept whole, because names and free text need them; Arabic is
kept whole as letters and presentation forms; of Chinese and Japanese only the letters of
the fixed phrases are kept. Outlines become TrueType, so that one small reader suits all.

    apt-get download fonts-noto-core fonts-noto-cjk && dpkg -x … FOLDER
    python tools/make_fonts.py FOLDER
"""

import json
import sys
from pathlib import Path

from fontTools.pens.cu2quPen import Cu2QuPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont, newTable

ROOT = Path(__file__).parent.parent
FONTS = ROOT / "assets" / "fonts"
PHRASES = ROOT / "assets" / "phrases"
ASCII = set(range(0x20, 0x7F))
LATIN = (
    ASCII
    | set(range(0xA0, 0x180))  # Latin-1 and Extended-A
    | {0x218, 0x219, 0x21A, 0x21B}
    | set(range(0x370, 0x400))
    | set(range(0x400, 0x460))
    | {0x490, 0x491, 0x1E9E}
    | set(range(0x2010, 0x2027))
    | {0x2030, 0x20AC, 0x2122, 0x2190, 0x2192, 0x2212, 0x2264, 0x2265, 0xFFFD}
)
ARABIC = (
    {0x60C, 0x61B, 0x61F, 0x640}
    | set(range(0x621, 0x653))
    | set(range(0x660, 0x66D))
    | {0x671, 0x67E, 0x686, 0x698, 0x6A9, 0x6AF, 0x6CC}
    | set(range(0x6F0, 0x6FA))
    | {0x20, 0x2E, 0x3A}
    | set(range(0xFB56, 0xFB5A))
    | set(range(0xFB7A, 0xFB7E))
    | set(range(0xFB8A, 0xFB96))
    | set(range(0xFBFC, 0xFC00))
    | set(range(0xFE80, 0xFEFD))
)


_UNUSED = (
    "maxZones", "maxTwilightPoints", "maxStorage", "maxFunctionDefs", "maxInstructionDefs",
    "maxStackElements", "maxSizeOfInstructions", "maxComponentElements",
)  # fmt: skip
"""What only hinted fonts count."""


def letters_of(*languages: str) -> set[int]:
    """Return the code points of the fixed phrases of these languages."""
    found: set[int] = set()
    for language in languages:
        text = (PHRASES / f"{language}.json").read_text(encoding="utf-8")
        data = json.loads(text)
        found |= {ord(c) for part in (data["name"], *data["phrases"].values()) for c in part}
    return found


def make(source: Path, number: int, letters: set[int], name: str) -> None:
    """Write ``name`` with the ``letters`` of one font."""
    font = TTFont(source, fontNumber=number)
    options = Options()
    options.hinting = False
    options.layout_features = ["init", "medi", "fina", "isol", "rlig", "ccmp"]
    options.name_IDs = [13, 14]
    options.notdef_outline = True
    options.drop_tables += ["DSIG", "GDEF", "GPOS", "STAT", "VORG", "vhea", "vmtx", "BASE"]
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=letters)
    subsetter.subset(font)
    _to_simple_outlines(font)
    for name_id, text in ((1, name), (2, "Regular"), (4, name), (6, name.replace(" ", ""))):
        font["name"].setName(text, name_id, 3, 1, 0x409)
    target = FONTS / f"{name.replace(' ', '')}.ttf"
    font.save(target)
    print(f"{target.name}: {len(font.getBestCmap())} letters, {target.stat().st_size} bytes")


def _to_simple_outlines(font: TTFont) -> None:
    """Redraw every glyph with quadratic curves and without references to others."""
    glyphs = font.getGlyphSet()
    order = font.getGlyphOrder()
    drawn = {}
    for glyph in order:
        pen = TTGlyphPen(None)
        flat = DecomposingRecordingPen(glyphs)
        glyphs[glyph].draw(flat)
        flat.replay(Cu2QuPen(pen, max_err=2.0, reverse_direction="CFF " in font))
        drawn[glyph] = pen.glyph()
    if "CFF " in font:
        del font["CFF "]
        font["loca"] = newTable("loca")
        font["maxp"].tableVersion = 0x00010000
        for field in _UNUSED:
            setattr(font["maxp"], field, 0)  # fmt: skip
        font["maxp"].maxZones = 1
        font["post"].formatType = 3.0
        font.sfntVersion = "\000\001\000\000"
    glyf = newTable("glyf")
    glyf.glyphOrder = order
    glyf.glyphs = drawn
    font["glyf"] = glyf
    font["post"].formatType = 3.0
    for glyph in order:
        width, _ = font["hmtx"][glyph]
        glyf[glyph].recalcBounds(glyf)
        font["hmtx"][glyph] = (width, getattr(glyf[glyph], "xMin", 0))


def main(folder: Path) -> None:
    """Write all fonts; ``folder`` holds the unpacked Debian packages."""
    share = folder / "usr" / "share" / "fonts"
    noto = share / "truetype" / "noto"
    cjk = share / "opentype" / "noto" / "NotoSansCJK-Regular.ttc"
    make(noto / "NotoSans-Regular.ttf", 0, LATIN, "PocketPump Latin")
    make(noto / "NotoSansArabic-Regular.ttf", 0, ARABIC, "PocketPump Arabic")
    # In the collection: 0 Japanese, 1 Korean, 2 simplified Chinese.
    make(cjk, 2, letters_of("zh") | ASCII, "PocketPump Chinese")
    make(cjk, 0, letters_of("ja") | ASCII, "PocketPump Japanese")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
