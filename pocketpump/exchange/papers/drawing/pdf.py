"""Pages as PDF, with the fonts they need inside; written with pydyf.

pydyf is 8 kB of pure Python without dependencies. fpdf2 (0.34 MB) needs Pillow, which has
no build for the browser's Python on the package index, and fontTools (1.25 MB).
"""

import io
from collections.abc import Sequence
from itertools import groupby

import pydyf

from pocketpump.exchange.papers.drawing.page import (
    MM_PER_POINT,
    Box,
    Drawn,
    Page,
    Rule,
    Text,
    glyph_of,
)
from pocketpump.exchange.papers.drawing.truetype import Font
from pocketpump.exchange.papers.drawing.writing import plain_letters

_BOLD_STROKE = 0.035
"""Bold is drawn by a stroke of this many ems around each letter: no second font to carry."""


def to_pdf(pages: Sequence[Page], title: str, language: str = "en") -> bytes:
    """Return the ``pages`` as one PDF, the same bytes for the same pages."""
    document = pydyf.PDF()
    used = _used(pages)
    fonts = {name: _embed(document, *found) for name, found in used.items()}
    resources = pydyf.Dictionary({"Font": pydyf.Dictionary(fonts)})
    for page in pages:
        content = pydyf.Stream(compress=True)
        for thing in page.drawn:
            _draw(content, thing, page)
        document.add_object(content)
        size = pydyf.Array([0, 0, _points(page.width), _points(page.height)])
        document.add_page(
            pydyf.Dictionary(
                {
                    "Type": "/Page",
                    "Parent": document.pages.reference,
                    "MediaBox": size,
                    "Contents": content.reference,
                    "Resources": resources,
                }
            )
        )
    document.info["Title"] = pydyf.String(title)
    document.catalog["Lang"] = pydyf.String(language)
    written = io.BytesIO()
    document.write(written, version=b"1.7")
    return written.getvalue()


def _points(mm: float) -> float:
    return round(mm / MM_PER_POINT, 4)


def _used(pages: Sequence[Page]) -> dict[str, tuple[Font, dict[int, str]]]:
    """Return the fonts on the pages, each with its glyphs and the letters they draw."""
    used: dict[str, tuple[Font, dict[int, str]]] = {}
    for page in pages:
        for thing in page.drawn:
            if isinstance(thing, Text):
                for letter in thing.letters:
                    font, glyph = glyph_of(letter, thing.language)
                    used.setdefault(font.name, (font, {}))[1][glyph] = letter
    return used


def _draw(content: pydyf.Stream, thing: Drawn, page: Page) -> None:
    if isinstance(thing, Box):
        content.set_color_rgb(*[thing.grey] * 3)
        y = page.height - thing.y - thing.height
        content.rectangle(*map(_points, (thing.x, y, thing.width, thing.height)))
        content.fill()
    elif isinstance(thing, Rule):
        content.set_color_rgb(0, 0, 0, stroke=True)
        content.set_line_width(_points(thing.width))
        content.set_dash([_points(thing.dash)] if thing.dash else [], 0)
        content.move_to(_points(thing.x), _points(page.height - thing.y))
        content.line_to(_points(thing.to_x), _points(page.height - thing.to_y))
        content.stroke()
    else:
        _write(content, thing, page)


def _write(content: pydyf.Stream, text: Text, page: Page) -> None:
    content.begin_text()
    content.set_color_rgb(*[text.grey] * 3)
    content.set_color_rgb(*[text.grey] * 3, stroke=True)
    content.set_text_rendering(2 if text.bold else 0)
    content.set_dash([], 0)
    content.set_line_width(round(text.size * _BOLD_STROKE, 4))
    content.set_text_matrix(1, 0, 0, 1, _points(text.x), _points(page.height - text.y))
    placed = [glyph_of(letter, text.language) for letter in text.letters]
    for name, group in groupby(placed, key=lambda found: found[0].name):
        content.set_font_size(name, text.size)
        codes = "".join(f"{glyph:04x}" for _, glyph in group)
        content.stream.append(f"<{codes}> Tj".encode("ascii"))
    content.end_text()


def _embed(document: pydyf.PDF, font: Font, letters: dict[int, str]) -> bytes:
    """Add ``font`` as a font of glyph numbers, and what letters they stand for."""
    em = 1000 / font.units
    file = pydyf.Stream([font.data], pydyf.Dictionary({"Length1": len(font.data)}), compress=True)
    document.add_object(file)
    box = pydyf.Array([round(side * em) for side in font.box])
    descriptor = pydyf.Dictionary(
        {
            "Type": "/FontDescriptor", "FontName": f"/{font.name}", "Flags": 4,
            "FontBBox": box, "ItalicAngle": 0, "Ascent": round(font.box[3] * em),
            "Descent": round(font.box[1] * em), "CapHeight": 700, "StemV": 80,
            "FontFile2": file.reference,
        }
    )  # fmt: skip
    document.add_object(descriptor)
    widths: list[object] = []
    for glyph in sorted(letters):
        widths += [glyph, pydyf.Array([round(font.width(glyph) * em, 2)])]
    drawn = pydyf.Dictionary(
        {
            "Type": "/Font", "Subtype": "/CIDFontType2", "BaseFont": f"/{font.name}",
            "CIDSystemInfo": pydyf.Dictionary({
                "Registry": pydyf.String("Adobe"), "Ordering": pydyf.String("Identity"),
                "Supplement": 0,
            }),
            "CIDToGIDMap": "/Identity", "W": pydyf.Array(widths),
            "FontDescriptor": descriptor.reference,
        }
    )  # fmt: skip
    document.add_object(drawn)
    readable = pydyf.Stream([_readable(letters)], compress=True)
    document.add_object(readable)
    whole = pydyf.Dictionary(
        {
            "Type": "/Font", "Subtype": "/Type0", "BaseFont": f"/{font.name}",
            "Encoding": "/Identity-H", "DescendantFonts": pydyf.Array([drawn.reference]),
            "ToUnicode": readable.reference,
        }
    )  # fmt: skip
    document.add_object(whole)
    return bytes(whole.reference)


def _readable(letters: dict[int, str]) -> bytes:
    """Return the map from glyphs to letters, so that text can be searched and copied."""
    rows = [
        f"<{glyph:04x}> <{plain_letters(letter).encode('utf-16-be').hex()}>"
        for glyph, letter in sorted(letters.items())
    ]
    blocks = [rows[i : i + 100] for i in range(0, len(rows), 100)]
    body = "\n".join(
        f"{len(block)} beginbfchar\n" + "\n".join(block) + "\nendbfchar" for block in blocks
    )
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CMapType 2 def\n/CMapName /Letters def\n"
        "1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n"
        f"{body}\nendcmap\nend\nend"
    ).encode("ascii")
