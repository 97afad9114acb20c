"""The dark band at the head of the printed card: its title, and whose card it is."""

from dataclasses import dataclass

from pocketpump.exchange.papers.card_phrases import Phrases
from pocketpump.exchange.papers.drawing.fitting import clipped
from pocketpump.exchange.papers.drawing.page import Box, Drawn, Text, line, width_of
from pocketpump.exchange.papers.drawing.writing import isolated, on_paper, shaped

_MOST_NAME = 60
_BASE = 0.73
"""How far down the band the letters stand, as a share of its height."""
_BETWEEN = 3.0


@dataclass(frozen=True, slots=True)
class Band:
    """Place and height of the band in mm, and the type sizes of title and person in points."""

    x: float
    y: float
    width: float
    height: float
    edge: float
    title_size: float
    person_size: float


def title_band(
    text: str, words: Phrases, band: Band, name: str = "", born: str = ""
) -> list[Drawn]:
    """Return the band with the title, and the person's name and birthday at its other end.

    A long name is clipped to the room that is left, the birthday never.
    """
    inner = band.width - 2 * band.edge
    base = band.y + _BASE * band.height
    title = line(shaped(text), band.x + band.edge, base, band.title_size, width=inner, bold=True,
                 direction=words.direction, language=words.code, grey=1.0)  # fmt: skip
    room = inner - width_of(title.letters, band.title_size, words.code) - _BETWEEN
    for columns in range(_MOST_NAME, 0, -1):
        letters = on_paper(shaped(_named(name, born, columns)), words.direction)
        wide = width_of(letters, band.person_size, words.code)
        if wide <= room:
            break
    left = band.x + band.edge
    start = left if words.direction == "rtl" else left + inner - wide
    named = Text(start, base, band.person_size, letters, True, words.code, 1.0)
    drawn = Box(band.x, band.y, band.width, band.height)
    return [drawn, title, *([named] if letters else [])]


def _named(name: str, born: str, columns: int) -> str:
    short = clipped(name, columns)
    return ", ".join(part for part in (short and isolated(short), born and isolated(born)) if part)
