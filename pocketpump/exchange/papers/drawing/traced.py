"""Outlines of a picture: where its ink begins and ends, between the pixels.

A picture is rows of alpha, 0 to 255. Contours run along half ink by marching squares, so an edge
that a browser has softened lies within a tenth of a pixel of where it was drawn.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

Point = tuple[float, float]
Contour = tuple[Point, ...]
Rows = Sequence[bytes]

_HALF = 127.5
"""Between two whole values, so no pixel is on the line."""
_HALF_INK = bytes(int(value > _HALF) for value in range(256))


def traced(rows: Rows, tolerance: float = 0.1) -> tuple[Contour, ...]:
    """Return the outlines of the ink, in pixels from the upper left corner, down being positive.

    Seen on the page, ink lies to the right of the way: outlines run clockwise and those of holes
    the other way round. Points that change a line by less than ``tolerance`` pixels are left out.
    """
    if not rows:
        return ()
    blank = bytes(len(rows[0]) + 2)
    padded = [blank, *(b"\0" + row + b"\0" for row in rows), blank]
    after: dict[Point, Point] = {}
    for y, (above, below) in enumerate(pairwise(padded)):
        after.update(_steps_of_row(above, below, y))
    contours = (_simple(contour, tolerance) for contour in _loops(after))
    return tuple(contour for contour in contours if len(contour) > 2)


def _steps_of_row(above: bytes, below: bytes, y: int) -> Iterator[tuple[Point, Point]]:
    inked, inked_below = above.translate(_HALF_INK), below.translate(_HALF_INK)
    begins = [at for row in (inked, inked_below) if (at := row.find(1)) >= 0]
    if not begins:
        return
    start, end = min(begins) - 1, max(inked.rfind(1), inked_below.rfind(1)) + 2
    inked, inked_below = inked[start:end], inked_below[start:end]
    corners = zip(inked, inked[1:], inked_below[1:], inked_below, strict=False)
    for x, square in enumerate(corners, start):
        if 0 < sum(square) < 4:
            values = (above[x], above[x + 1], below[x + 1], below[x])
            yield from _steps(square, values, x, y)


def _steps(
    square: tuple[int, ...], values: tuple[int, ...], x: int, y: int
) -> Iterator[tuple[Point, Point]]:
    """Yield the lines through the square of four pixels, from where they enter to where they leave.

    Corners go round clockwise from the upper left; side ``i`` leads from corner ``i`` to the next.
    """
    # Where two inked corners face each other, they are joined by a bridge or end there.
    faces = square[0] == square[2] and square[1] == square[3]
    is_joined = faces and sum(values) > 4 * _HALF
    for corner in range(4):
        if not square[corner] or square[(corner + 1) % 4]:
            continue
        end = (corner + 1 if is_joined else corner - 1) % 4
        while square[end] and not is_joined:
            end = (end - 1) % 4
        yield _crossing(corner, values, x, y), _crossing(end, values, x, y)


def _crossing(side: int, values: tuple[int, ...], x: int, y: int) -> Point:
    """Return where half ink crosses a side; the same from both squares that share it."""
    # Each side is measured from its upper or left end. Pixel 0 of the padded rows is at -0.5.
    first, second = ((0, 1), (1, 2), (3, 2), (0, 3))[side]
    part = (_HALF - values[first]) / (values[second] - values[first])
    left, top = x - 0.5, y - 0.5
    return (
        (left + part, top), (left + 1, top + part), (left + part, top + 1), (left, top + part),
    )[side]  # fmt: skip


def _loops(after: dict[Point, Point]) -> Iterator[Contour]:
    while after:
        start, point = after.popitem()
        loop = [start]
        while point != start:
            loop.append(point)
            point = after.pop(point)
        yield tuple(loop)


def _simple(loop: Contour, tolerance: float) -> Contour:
    """Leave out what is nearly straight (Ramer 1972, Douglas and Peucker 1973)."""
    far = max(range(len(loop)), key=lambda i: _square(loop[i], loop[0]))
    line = [*loop, loop[0]]
    kept = {0, far}
    parts = [(0, far), (far, len(loop))]
    while parts:
        first, last = parts.pop()
        (ax, ay), (bx, by) = line[first], line[last]
        along, down = bx - ax, by - ay
        long = (along * along + down * down) ** 0.5
        most, at = tolerance, 0
        for i in range(first + 1, last):
            px, py = line[i][0] - ax, line[i][1] - ay
            away = abs(px * down - py * along) / long if long else (px * px + py * py) ** 0.5
            if away > most:
                most, at = away, i
        if at:
            kept.add(at)
            parts += [(first, at), (at, last)]
    return tuple(loop[i] for i in sorted(kept))


def _square(one: Point, other: Point) -> float:
    return (one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2
