"""Blocks of text, one under the other, down as many pages as they need."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from pocketpump.exchange.papers.drawing.page import MM_PER_POINT, Box, Drawn, Page, broken, line

LEADING = 1.3
"""From baseline to baseline, in type sizes."""
SMALLEST = 7.0
"""The smallest type on paper, in points: smaller is not read by tired eyes (own default)."""
_BETWEEN = 6.0

Matrix = tuple[tuple[bool, ...], ...]


@dataclass(frozen=True, slots=True)
class Block:
    """A paragraph; ``beside`` is the same in the original, in a column of its own.

    ``band`` sets it white on black. ``gap`` is the free space above, in mm, ``leading`` the way
    from baseline to baseline in type sizes.
    """

    text: str
    size: float = 11.0
    bold: bool = False
    language: str = "en"
    direction: str = "ltr"
    beside: str = ""
    band: bool = False
    gap: float = 1.2
    leading: float = LEADING

    @property
    def step(self) -> float:
        """From one line to the next, in mm."""
        return self.size * self.leading * MM_PER_POINT

    @property
    def beside_size(self) -> float:
        """The type size of what stands beside: a little smaller, never too small."""
        return max(SMALLEST, self.size * 0.85)


@dataclass(frozen=True, slots=True)
class Picture:
    """A code to scan, ``side`` mm wide and high."""

    matrix: Matrix
    side: float
    gap: float = 4.0


def lines_of(block: Block, width: float) -> list[tuple[str, str]]:
    """Return the lines of a block and of what stands beside it, as they are set in ``width``."""
    if not block.beside:
        return [(text, "") for text in broken(block.text, block.size, width, block.language)]
    half = (width - _BETWEEN) / 2
    own = broken(block.text, block.size, half, block.language)
    beside = broken(block.beside, block.beside_size, half)
    count = max(len(own), len(beside))
    return [(_at(own, i), _at(beside, i)) for i in range(count)]


def set_blocks(
    blocks: Sequence[Block], x: float, y: float, width: float
) -> tuple[list[Drawn], float]:
    """Return ``blocks`` drawn from ``y`` down, and the y below them."""
    drawn: list[Drawn] = []
    for block in blocks:
        y += block.gap
        for things, step in _set_lines(block, x, y, width):
            drawn += things
            y = step
    return drawn, y


def flowed(
    blocks: Sequence[Block | Picture],
    width: float = 210.0,
    height: float | None = 297.0,
    margin: float = 18.0,
) -> list[Page]:
    """Return the pages that hold ``blocks``; without a ``height`` one page as long as needed."""
    inner = width - 2 * margin
    bottom = float("inf") if height is None else height - margin
    pages: list[list[Drawn]] = [[]]
    y = margin
    for block in blocks:
        y += block.gap if pages[-1] else 0.0
        if isinstance(block, Picture):
            if y + block.side > bottom and pages[-1]:
                pages.append([])
                y = margin
            pages[-1] += picture(block.matrix, margin, y, block.side)
            y += block.side
            continue
        shift, below = 0.0, y
        for things, end in _set_lines(block, margin, y, inner):
            if end + shift > bottom and pages[-1]:
                pages.append([])
                shift = margin - (end - block.step)
            pages[-1] += [_lower(thing, shift) for thing in things]
            below = end + shift
        y = below
    long = y + margin if height is None else height
    return [Page(width, long, tuple(drawn)) for drawn in pages]


def picture(matrix: Matrix, x: float, y: float, side: float) -> list[Drawn]:
    """Return a code drawn as boxes, one for each run of dark modules."""
    module = side / len(matrix)
    drawn: list[Drawn] = []
    for row, cells in enumerate(matrix):
        column = 0
        while column < len(cells):
            end = column
            while end < len(cells) and cells[end]:
                end += 1
            if end > column:
                drawn.append(
                    Box(x + column * module, y + row * module, (end - column) * module, module)
                )
            column = end + 1
    return drawn


def _set_lines(
    block: Block, x: float, y: float, width: float
) -> Iterator[tuple[list[Drawn], float]]:
    """Yield each line as what is drawn and the y below it."""
    half = (width - _BETWEEN) / 2
    step = block.step
    own_width = half if block.beside else width
    # The text begins where its readers begin; the original takes the other side.
    own_x = x + half + _BETWEEN if block.beside and block.direction == "rtl" else x
    beside_x = x if own_x > x else x + half + _BETWEEN
    for text, beside in lines_of(block, width):
        things: list[Drawn] = []
        if block.band:
            things.append(Box(x - 1.5, y, width + 3.0, step + 0.05))
        base = y + step * 0.76
        if text:
            things.append(
                line(text, own_x, base, block.size, width=own_width, direction=block.direction,
                     bold=block.bold, language=block.language, grey=1.0 if block.band else 0.0)
            )  # fmt: skip
        if beside:
            things.append(
                line(beside, beside_x, base, block.beside_size, width=half,
                     grey=1.0 if block.band else 0.25)
            )  # fmt: skip
        y += step
        yield things, y


def _lower(thing: Drawn, by: float) -> Drawn:
    return replace(thing, y=thing.y + by) if by else thing


def _at(lines: list[str], index: int) -> str:
    return lines[index] if index < len(lines) else ""
