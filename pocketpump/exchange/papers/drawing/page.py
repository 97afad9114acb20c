"""What is drawn on a page, in millimetres from its top left corner; type sizes in points."""

from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, hypot

from pocketpump.exchange.papers.drawing.fonts import glyph_of
from pocketpump.exchange.papers.drawing.writing import AUTO, END, LTR, RTL, on_paper, shaped

MM_PER_POINT = 25.4 / 72
BOLD_STROKE = 0.035
"""The stroke around a bold letter, in ems."""
MARK_AWAY = 1.5
"""From a corner to its cut marks, in mm."""
# Letters that may not begin a line in Chinese and Japanese (JIS X 4051, a small part of it).
_NOT_FIRST = set("、。，：；！？）」』ー々ぁぃぅぇぉっゃゅょァィゥェォッャュョ.,:;!?)")


@dataclass(frozen=True, slots=True)
class Text:
    """One line of letters from left to right; ``x``, ``y`` is where its baseline begins.

    Bold is drawn by a stroke around each letter: no second font to carry.
    """

    x: float
    y: float
    size: float
    letters: str
    bold: bool = False
    language: str = "en"
    grey: float = 0.0


@dataclass(frozen=True, slots=True)
class Rule:
    """A line ``width`` mm thick; ``dash`` is the length of its dashes, 0 for none."""

    x: float
    y: float
    to_x: float
    to_y: float
    width: float = 0.2
    dash: float = 0.0
    grey: float = 0.0

    def dashes(self) -> list[tuple[float, float, float, float]]:
        """Return the ends (x, y, x, y) of the pieces that are drawn."""
        long = hypot(self.to_x - self.x, self.to_y - self.y)
        if not self.dash or not long:
            return [(self.x, self.y, self.to_x, self.to_y)]
        across, down = (self.to_x - self.x) / long, (self.to_y - self.y) / long
        pieces = []
        for i in range(ceil(long / (2 * self.dash))):
            start = 2 * self.dash * i
            end = min(start + self.dash, long)
            pieces.append((self.x + start * across, self.y + start * down,
                           self.x + end * across, self.y + end * down))  # fmt: skip
        return pieces


@dataclass(frozen=True, slots=True)
class Box:
    """A filled rectangle; ``grey`` 0 is black, 1 white."""

    x: float
    y: float
    width: float
    height: float
    grey: float = 0.0


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled disc around ``x``, ``y``."""

    x: float
    y: float
    radius: float
    grey: float = 0.0


Drawn = Text | Rule | Box | Dot


@dataclass(frozen=True, slots=True)
class Page:
    """A page of ``width`` by ``height`` mm and what is on it, from back to front."""

    width: float
    height: float
    drawn: tuple[Drawn, ...]


def moved(thing: Drawn, x: float, y: float) -> Drawn:
    """Return ``thing`` so much to the right and further down."""
    if isinstance(thing, Rule):
        return replace(
            thing, x=thing.x + x, y=thing.y + y, to_x=thing.to_x + x, to_y=thing.to_y + y
        )
    return replace(thing, x=thing.x + x, y=thing.y + y)


def framed(x: float, y: float, right: float, bottom: float, width: float) -> list[Drawn]:
    """Return the four sides of a rectangle, as lines ``width`` mm thick."""
    corners = [(x, y), (right, y), (right, bottom), (x, bottom), (x, y)]
    return [Rule(*a, *b, width) for a, b in pairwise(corners)]


def cut_marks(
    x: float, y: float, right: float, bottom: float, across: float, down: float
) -> list[Drawn]:
    """Return marks outside the corners of a rectangle, ``across`` and ``down`` mm long."""
    drawn: list[Drawn] = []
    for at, beyond in ((x, -1), (right, 1)):
        for level, out in ((y, -1), (bottom, 1)):
            begins, above = at + beyond * MARK_AWAY, level + out * MARK_AWAY
            drawn.append(Rule(begins, level, begins + beyond * across, level, 0.1))
            drawn.append(Rule(at, above, at, above + out * down, 0.1))
    return drawn


def shade(thing: Drawn) -> int:
    """Return the ink of ``thing``: 0 is black, 255 white."""
    return round(thing.grey * 255)


def width_of(letters: str, size: float, language: str = "en") -> float:
    """Return the width in mm of shaped ``letters`` at ``size`` points."""
    ems = 0.0
    for letter in letters:
        if letter in (LTR, RTL, AUTO, END):
            continue
        font, glyph = glyph_of(letter, language)
        ems += font.width(glyph)
    return ems * size * MM_PER_POINT


def broken(text: str, size: float, width: float, language: str = "en") -> list[str]:
    """Return ``text``, shaped, in lines no wider than ``width`` mm, in reading order.

    Breaks at spaces, between Chinese or Japanese letters, and inside a word only when it
    alone is too wide. An isolate that is cut goes on in the next line with its direction.
    """
    lines: list[str] = []
    for paragraph in text.splitlines() or [""]:
        lines += _broken_paragraph(shaped(paragraph), size, width, language)
    return lines


def _broken_paragraph(text: str, size: float, width: float, language: str) -> list[str]:
    lines: list[str] = []
    line = ""
    for word in _words(text):
        if line and width_of(line + word.rstrip(), size, language) > width:
            lines.append(line)
            line = ""
        while width_of(word.rstrip(), size, language) > width and len(word) > 1:
            cut = _fitting(word, size, width, language)
            lines.append(word[:cut])
            word = word[cut:]
        line += word
    lines.append(line)
    return _mended(lines)


def _mended(lines: list[str]) -> list[str]:
    """Close isolates at the end of each line and open them again in the next."""
    mended: list[str] = []
    open_now = ""
    for line in lines:
        whole = open_now + line.strip(" ")
        stack = ""
        for letter in whole:
            if letter in (LTR, RTL, AUTO):
                stack += letter
            elif letter == END:
                stack = stack[:-1]
        open_now = stack
        mended.append(whole + END * len(stack))
    return mended


def _words(text: str) -> list[str]:
    words: list[str] = []
    for letter in text:
        new = not words or words[-1].endswith(" ") or _breaks(words[-1][-1], letter)
        if new and letter != " ":
            words.append(letter)
        elif words:
            words[-1] += letter
        else:
            words.append(letter)
    return words


def _breaks(before: str, letter: str) -> bool:
    if letter in _NOT_FIRST or before in "（「『" or letter in (END,):
        return False
    return _is_wide(before) or _is_wide(letter)


def _is_wide(letter: str) -> bool:
    return "\u2e80" <= letter <= "\u9fff" or "\uff00" <= letter <= "\uffef"


def _fitting(word: str, size: float, width: float, language: str) -> int:
    count = 1
    while width_of(word[: count + 1], size, language) <= width:
        count += 1
    return count


def line(
    text: str,
    x: float,
    y: float,
    size: float,
    *,
    width: float,
    direction: str = "ltr",
    bold: bool = False,
    language: str = "en",
    grey: float = 0.0,
) -> Text:
    """Return one shaped line set flush to the side where its direction begins."""
    letters = on_paper(text, direction)
    start = x if direction == "ltr" else x + width - width_of(letters, size, language)
    return Text(start, y, size, letters, bold, language, grey)
