"""What holds for everything that is printed: all of it on the paper, and large enough."""

import io

import pypdf

from pocketpump.exchange.papers.drawing.page import Box, Page, Rule, Text, width_of

# Millimetres that no usual printer reaches at the edge (common practice, no source).
EDGE = 8.0


def check_page(page: Page, smallest: float = 7.0, edge: float = EDGE) -> None:
    """Nothing beyond the edge, no letter smaller than ``smallest`` points."""
    for thing in page.drawn:
        if isinstance(thing, Text):
            assert thing.size >= smallest - 1e-6, thing
            end = thing.x + width_of(thing.letters, thing.size, thing.language)
            assert edge <= thing.x, thing
            assert end <= page.width - edge + 1e-6, thing
            assert edge <= thing.y <= page.height - edge, thing
        elif isinstance(thing, Rule):
            assert min(thing.x, thing.to_x) >= 0, thing
            assert max(thing.x, thing.to_x) <= page.width, thing
            assert min(thing.y, thing.to_y) >= 0, thing
            assert max(thing.y, thing.to_y) <= page.height, thing
        elif isinstance(thing, Box):
            assert thing.x >= 0, thing
            assert thing.x + thing.width <= page.width, thing
            assert thing.y + thing.height <= page.height, thing


def check_lines_apart(page: Page) -> None:
    """No two lines of letters lie over each other."""
    lines = [t for t in page.drawn if isinstance(t, Text) and t.letters.strip()]
    for i, one in enumerate(lines):
        for other in lines[i + 1 :]:
            # Less than half a line apart, and side by side not apart.
            near = abs(one.y - other.y) < 0.5 * min(one.size, other.size) * 25.4 / 72
            ends = [t.x + width_of(t.letters, t.size, t.language) for t in (one, other)]
            assert not near or ends[0] <= other.x + 0.1 or ends[1] <= one.x + 0.1, (one, other)


def said(page: Page, language: str = "") -> str:
    """All that stands on the page (in a ``language``), as one line."""
    texts = (t for t in page.drawn if isinstance(t, Text))
    letters = (t.letters for t in texts if language in ("", t.language))
    return " ".join(letters).replace("\u00a0", " ")


def read_back(pdf: bytes) -> list[str]:
    """The text of each page, as another program reads it."""
    return [
        " ".join(page.extract_text().replace("\u00a0", " ").split())
        for page in pypdf.PdfReader(io.BytesIO(pdf)).pages
    ]


def squeezed(text: str) -> str:
    """The text without any space: where a line is broken is not asked."""
    return "".join(c for c in text if not c.isspace())
