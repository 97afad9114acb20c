"""Words, rules and tables on A4 pages, with the fonts every PDF reader has.

Those fonts hold the letters of Western Europe (Windows-1252) and need nothing embedded. A
letter they lack is printed as "?" and noted in `Paper.lost`, so that whoever makes the page
can say so; a subset of a larger font can later take the place of `_octets` and `text_width`.
"""

import unicodedata
from collections.abc import Sequence
from io import BytesIO
from typing import Final

import pydyf

from pocketpump.core.messages import Locale, message, text_in
from pocketpump.exchange.language.code_of import code_of

WIDTH: Final = 595.276
HEIGHT: Final = 841.89
MARGIN: Final = 40.0
_LEADING: Final = 1.28
_GAP: Final = 8.0
_INK: Final = (0.08, 0.15, 0.18)
_LINE: Final = (0.75, 0.72, 0.66)

# Advance widths of the printable ASCII letters, thousandths of the type size: Adobe's
# published metrics of the standard fonts (AFM); the tests compare them with pypdf's copy.
_REGULAR: Final = (
    "278 278 355 556 556 889 667 191 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556"
    " 556 556 556 278 278 584 584 584 556 1015 667 667 722 722 667 611 778 722 278 500 667 556 833"
    " 722 778 667 778 722 667 611 722 667 944 667 667 611 278 278 278 469 556 333 556 556 500 556"
    " 556 278 556 556 222 222 500 222 833 556 556 556 556 333 500 278 556 500 722 500 500 500 334"
    " 260 334 584"
)
_BOLD: Final = (
    "278 333 474 556 556 889 722 238 333 333 389 584 278 333 278 278 556 556 556 556 556 556 556"
    " 556 556 556 333 333 584 584 584 611 975 722 722 722 722 667 611 778 722 278 556 722 611 833"
    " 722 778 667 778 722 667 611 722 667 944 667 667 611 333 278 333 584 556 333 556 611 556 611"
    " 556 333 611 611 278 278 556 278 889 611 611 611 611 389 556 333 611 556 778 556 556 500 389"
    " 280 389 584"
)
_WIDTHS: Final = {
    bold: dict(zip(map(chr, range(32, 127)), map(int, text.split()), strict=True))
    for bold, text in ((False, _REGULAR), (True, _BOLD))
}
# The widest of the other letters: a line broken a little early does no harm.
_OTHERS: Final = 1000
# The fonts have no minus sign; a dash of the same length reads the same.
_LIKE: Final = str.maketrans({"\u2212": "\u2013", "\u202f": " ", "\u2009": " "})


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Return the width of one line in points."""
    widths = _WIDTHS[bold]

    def width(letter: str) -> int:
        # An accent does not widen its letter.
        base = unicodedata.normalize("NFD", letter)[0]
        return widths.get(base, 556 if letter in "\u2013\u00b7\u20ac" else _OTHERS)

    return sum(width(letter) for letter in text.translate(_LIKE)) * size / 1000


def wrapped(text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
    """Return ``text`` in lines no wider than ``width``; a word too long for a line is cut."""
    lines = []
    for paragraph in text.splitlines() or [""]:
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if text_width(longer, size, bold=bold) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            while len(word) > 1 and text_width(word, size, bold=bold) > width:
                fits = _fitting(word, width, size, bold)
                lines.append(word[:fits])
                word = word[fits:]
            line = word
        lines.append(line)
    return lines


def _fitting(word: str, width: float, size: float, bold: bool) -> int:
    """Return how many letters of ``word`` fit; at least one, so that it comes to an end."""
    fits = len(word)
    while fits > 1 and text_width(word[:fits], size, bold=bold) > width:
        fits -= 1
    return fits


class Paper:
    """Pages being written from top to bottom; a new one begins when the last is full.

    ``lost`` is whether a letter had to be printed as "?". ``locale`` is the language of what is
    written on it, which comes in it already; only the pages' numbers are put into it here.
    """

    def __init__(self, locale: Locale | None = None) -> None:
        self.lost = False
        self._locale = locale
        self._streams: list[pydyf.Stream] = []
        self._new_page()

    def heading(self, text: str, *, size: float = 12.5, rule: bool = True) -> None:
        """Write a heading, never at the very foot of a page."""
        self._room(size * _LEADING + 60)
        if self._y < HEIGHT - MARGIN - 1:
            self._y -= _GAP
        self._line(text, MARGIN, size, bold=True)
        if rule:
            self._rule(self._y - 2)
            self._y -= 5

    def paragraph(self, text: str, *, size: float = 10, box: bool = False) -> None:
        """Write a paragraph; ``box`` puts an empty box to tick before it."""
        indent = 18.0 if box else 0.0
        lines = wrapped(text, WIDTH - 2 * MARGIN - indent, size)
        self._room(len(lines) * size * _LEADING)
        if box:
            page = self._streams[-1]
            page.set_color_rgb(*_INK, stroke=True)
            page.set_line_width(0.8)
            page.rectangle(MARGIN + 1, self._y - size - 0.5, 9, 9)
            page.stroke()
        for line in lines:
            self._room(size * _LEADING)
            self._line(line, MARGIN + indent, size)
        self._y -= 4 if box else 2

    def facts(self, facts: Sequence[tuple[str, str]], *, size: float = 10) -> None:
        """Write names and values in two columns."""
        for name, value in facts:
            self._row((name, value), (135.0, WIDTH - 2 * MARGIN - 135), size, bold=(False, True))

    def table(
        self,
        header: Sequence[str],
        rows: Sequence[Sequence[str]],
        widths: Sequence[float],
        *,
        size: float = 9,
    ) -> None:
        """Write a table; ``widths`` are shares. The header comes again on every new page."""
        whole = WIDTH - 2 * MARGIN
        columns = [share / sum(widths) * whole for share in widths]
        every = [True] * len(columns)
        self._row(header, columns, size, bold=every, ruled=True)
        for row in rows:
            if not self._fits(self._height(row, columns, size)):
                self._new_page()
                self._row(header, columns, size, bold=every, ruled=True)
            self._row(row, columns, size, ruled=True)

    def finish(self, title: str) -> bytes:
        """Number the pages and return the file."""
        pdf = pydyf.PDF()
        pdf.info["Title"] = pydyf.String(title)
        pdf.catalog["Lang"] = pydyf.String(code_of(self._locale))
        fonts = pydyf.Dictionary({
            name: pydyf.Dictionary({"Type": "/Font", "Subtype": "/Type1", "BaseFont": f"/{face}",
                                    "Encoding": "/WinAnsiEncoding"})
            for name, face in (("F0", "Helvetica"), ("F1", "Helvetica-Bold"))
        })  # fmt: skip
        for number, stream in enumerate(self._streams, 1):
            if len(self._streams) > 1:
                text = message("Page {number} of {pages}", number=number, pages=len(self._streams))
                self._write(stream, text_in(text, self._locale), MARGIN, 26, 8)
            pdf.add_object(stream)
            pdf.add_page(
                pydyf.Dictionary({
                    "Type": "/Page", "Parent": pdf.pages.reference, "Contents": stream.reference,
                    "MediaBox": pydyf.Array([0, 0, WIDTH, HEIGHT]),
                    "Resources": pydyf.Dictionary({"Font": fonts}),
                })
            )  # fmt: skip
        out = BytesIO()
        pdf.write(out)
        return out.getvalue()

    def _new_page(self) -> None:
        self._streams.append(pydyf.Stream(compress=True))
        self._y = HEIGHT - MARGIN

    def _fits(self, height: float) -> bool:
        return self._y - height >= MARGIN

    def _room(self, height: float) -> None:
        if not self._fits(min(height, HEIGHT - 2 * MARGIN)):
            self._new_page()

    def _line(self, text: str, x: float, size: float, *, bold: bool = False) -> None:
        self._write(self._streams[-1], text, x, self._y - size, size, bold=bold)
        self._y -= size * _LEADING

    def _rule(self, y: float) -> None:
        page = self._streams[-1]
        page.set_color_rgb(*_LINE, stroke=True)
        page.set_line_width(0.7)
        page.move_to(MARGIN, y)
        page.line_to(WIDTH - MARGIN, y)
        page.stroke()

    def _cells(
        self, row: Sequence[str], columns: Sequence[float], size: float, bold: Sequence[bool]
    ) -> list[list[str]]:
        return [
            wrapped(cell, width - _GAP, size, bold=is_bold)
            for cell, width, is_bold in zip(row, columns, bold, strict=True)
        ]

    def _height(self, row: Sequence[str], columns: Sequence[float], size: float) -> float:
        cells = self._cells(row, columns, size, [False] * len(columns))
        return max(map(len, cells)) * size * _LEADING + 5

    def _row(
        self,
        row: Sequence[str],
        columns: Sequence[float],
        size: float,
        *,
        bold: Sequence[bool] = (),
        ruled: bool = False,
    ) -> None:
        bold = bold or [False] * len(columns)
        cells = self._cells(row, columns, size, bold)
        # Line by line, so that a note longer than a page still comes out whole.
        for index in range(max(map(len, cells))):
            self._room(size * _LEADING)
            x, top = MARGIN, self._y
            for lines, width, is_bold in zip(cells, columns, bold, strict=True):
                if index < len(lines):
                    self._y = top
                    self._line(lines[index], x, size, bold=is_bold)
                x += width
            self._y = top - size * _LEADING
        self._y -= 2
        if ruled:
            self._rule(self._y - 0.5)
            self._y -= 3

    def _write(
        self, page: pydyf.Stream, text: str, x: float, y: float, size: float, *, bold: bool = False
    ) -> None:
        octets = text.translate(_LIKE).encode("cp1252", "replace")
        self.lost = self.lost or octets.count(b"?") > text.count("?")
        for special in (b"\\", b"(", b")"):
            octets = octets.replace(special, b"\\" + special)
        page.begin_text()
        page.set_color_rgb(*_INK)
        page.set_font_size("F1" if bold else "F0", size)
        page.set_text_matrix(1, 0, 0, 1, x, y)
        page.stream.append(b"(" + octets + b") Tj")
        page.end_text()
