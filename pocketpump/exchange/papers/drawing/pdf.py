"""Pages as PDF, with the letters they need inside; written with fpdf2.

fpdf2 is imported at the first page: on the phone it comes after the app is up. It is asked
for its primitives alone, for where everything stands is known already.
"""

import warnings
from collections.abc import Sequence
from datetime import UTC, datetime
from itertools import groupby
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from pocketpump.exchange.papers.drawing.borrowed import BORROWED
from pocketpump.exchange.papers.drawing.fonts import Font, borrowed_font, letters_in_fonts
from pocketpump.exchange.papers.drawing.lending import lent
from pocketpump.exchange.papers.drawing.page import (
    BOLD_STROKE,
    MM_PER_POINT,
    Box,
    Dot,
    Drawn,
    Page,
    Rule,
    Text,
    shade,
)

_ALWAYS = datetime(2000, 1, 1, tzinfo=UTC)
"""When each file says it was made: the day is on the page, and equal pages are equal bytes."""


def to_pdf(pages: Sequence[Page], title: str, language: str = "en") -> bytes:
    """Return the ``pages`` as one PDF, the same bytes for the same pages."""
    with warnings.catch_warnings():
        # Without Pillow, as in the browser, it warns that pictures cannot be set.
        warnings.simplefilter("ignore")
        import fpdf

    document: Any = fpdf.FPDF(unit="mm")
    document.set_auto_page_break(False)
    document.set_title(title)
    document.set_lang(language)
    document.set_producer("PocketPump")
    document.set_creation_date(_ALWAYS)
    with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
        for font in _fonts_of(pages):
            # fpdf2 reads fonts from files alone.
            place = Path(folder) / f"{font.name}.ttf"
            place.write_bytes(font.data)
            document.add_font(font.name, fname=place)
        for page in pages:
            document.add_page(format=(page.width, page.height))
            for thing in page.drawn:
                _draw(document, thing)
        written = bytes(document.output())
        for embedded in document.fonts.values():
            embedded.close()  # or Windows would not let go of the file
        return written


def _fonts_of(pages: Sequence[Page]) -> list[Font]:
    """Return the fonts that ``pages`` need; of borrowed letters one for all."""
    texts = (t for page in pages for t in page.drawn if isinstance(t, Text))
    used = [found for text in texts for found in letters_in_fonts(text.letters, text.language)]
    fonts = {font.name: font for _, font, _ in used}
    borrowed = {lent(letter) for letter, font, _ in used if font.name == BORROWED}
    if borrowed:
        fonts[BORROWED] = borrowed_font(found for found in borrowed if found)
    return list(fonts.values())


def _draw(document: Any, thing: Drawn) -> None:
    ink = shade(thing)
    if isinstance(thing, Box):
        document.set_fill_color(ink)
        document.rect(thing.x, thing.y, thing.width, thing.height, style="F")
    elif isinstance(thing, Dot):
        document.set_fill_color(ink)
        document.circle(thing.x, thing.y, thing.radius, style="F")
    elif isinstance(thing, Rule):
        with document.local_context(draw_color=ink, line_width=thing.width):
            if thing.dash:
                document.set_dash_pattern(dash=thing.dash, gap=thing.dash)
            document.line(thing.x, thing.y, thing.to_x, thing.to_y)
    else:
        _write(document, thing, ink)


def _write(document: Any, text: Text, ink: int) -> None:
    x = text.x
    placed = letters_in_fonts(text.letters, text.language)
    for name, group in groupby(placed, key=lambda found: found[1].name):
        run = list(group)
        part = "".join(letter for letter, _, _ in run)
        document.set_font(name, size=text.size)
        document.set_text_color(ink)
        if text.bold:
            # The width of a text's stroke is in points, whatever the document's unit.
            with document.local_context(
                text_mode="FILL_STROKE", draw_color=ink, line_width=text.size * BOLD_STROKE
            ):
                document.text(x, text.y, part)
        else:
            document.text(x, text.y, part)
        x += sum(wide for _, _, wide in run) * text.size * MM_PER_POINT
