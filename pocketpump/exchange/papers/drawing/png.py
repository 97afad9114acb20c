"""A page as a grey PNG picture, without any library: outlines filled line by line.

Format: the PNG specification (W3C), colour type 0, eight bits.
"""

import zlib
from functools import lru_cache
from struct import pack

from pocketpump.exchange.papers.drawing.page import MM_PER_POINT, Box, Page, Rule, Text, glyph_of
from pocketpump.exchange.papers.drawing.truetype import Font

_ROWS = 4
"""Each row of pixels is looked at along so many lines; across it is exact."""
_STEPS = 5
"""A curve is drawn as so many straight lines."""
_BOLD = 0.035

Stamp = tuple[int, int, list[bytes]]
"""Left and top in pixels from the pen, and rows of ink from 0 to 255."""


def to_png(page: Page, pixels_per_mm: float) -> bytes:
    """Return ``page`` as PNG at this many pixels to the millimetre."""
    width, height = round(page.width * pixels_per_mm), round(page.height * pixels_per_mm)
    rows = [bytearray(b"\xff" * width) for _ in range(height)]
    for thing in page.drawn:
        if isinstance(thing, Text):
            _write(rows, thing, pixels_per_mm)
        else:
            box = thing if isinstance(thing, Box) else _as_box(thing)
            _fill(rows, box, pixels_per_mm)
    raw = b"".join(b"\0" + bytes(row) for row in rows)
    # 8 bits, grey; pixels to the metre say how large it is meant to be.
    per_metre = round(pixels_per_mm * 1000)
    return (
        b"\x89PNG\r\n\x1a\n"
        + _chunk(b"IHDR", pack(">LLBBBBB", width, height, 8, 0, 0, 0, 0))
        + _chunk(b"pHYs", pack(">LLB", per_metre, per_metre, 1))
        + _chunk(b"IDAT", zlib.compress(raw, 9))
        + _chunk(b"IEND", b"")
    )


def _chunk(kind: bytes, data: bytes) -> bytes:
    return pack(">L", len(data)) + kind + data + pack(">L", zlib.crc32(kind + data))


def _as_box(rule: Rule) -> Box:
    """Only upright and level lines are drawn here; dashes are drawn through."""
    half = rule.width / 2
    x, y = min(rule.x, rule.to_x), min(rule.y, rule.to_y)
    return Box(
        x - half,
        y - half,
        abs(rule.to_x - rule.x) + rule.width,
        abs(rule.to_y - rule.y) + rule.width,
    )


def _fill(rows: list[bytearray], box: Box, scale: float) -> None:
    left, right = round(box.x * scale), round((box.x + box.width) * scale)
    top, bottom = round(box.y * scale), round((box.y + box.height) * scale)
    grey = bytes([round(box.grey * 255)])
    for y in range(max(0, top), min(max(bottom, top + 1), len(rows))):
        end = min(max(right, left + 1), len(rows[y]))
        rows[y][left:end] = grey * (end - left)


def _write(rows: list[bytearray], text: Text, scale: float) -> None:
    em = text.size * MM_PER_POINT * scale
    grey = round(text.grey * 255)
    x, y = text.x * scale, round(text.y * scale)
    for letter in text.letters:
        font, glyph = glyph_of(letter, text.language)
        quarter = int(x * 4) % 4
        left, top, ink = _stamp(font, glyph, round(em, 3), quarter, text.bold)
        for dy, line in enumerate(ink):
            row = y + top + dy
            if 0 <= row < len(rows):
                _print(rows[row], int(x) + left, line, grey)
        x += font.width(glyph) / font.units * em


def _print(row: bytearray, start: int, line: bytes, grey: int) -> None:
    for dx, ink in enumerate(line):
        at = start + dx
        if ink and 0 <= at < len(row):
            row[at] = row[at] + (grey - row[at]) * ink // 255


@lru_cache(maxsize=2048)
def _stamp(font: Font, glyph: int, em: float, quarter: int, bold: bool) -> Stamp:
    """Return the ink of one glyph, ``quarter`` pixels to the right of a whole one."""
    scale = em / font.units
    shift = quarter / 4
    edges: list[tuple[float, float, float, float]] = []
    for contour in font.outline(glyph):
        points = [
            (px * scale + shift, -py * scale)
            for curve in contour
            for px, py in (_on(curve, step / _STEPS) for step in range(_STEPS))
        ]
        edges += [(*a, *b) for a, b in zip(points, [*points[1:], *points[:1]], strict=True)]
    if not edges:
        return 0, 0, []
    spread = em * _BOLD / 2 if bold else 0.0
    left = int(min(e[0] for e in edges) - spread) - 1
    right = int(max(e[0] for e in edges) + spread) + 2
    top = int(min(e[1] for e in edges)) - 1
    bottom = int(max(e[1] for e in edges)) + 2
    ink = []
    for y in range(top, bottom):
        covered = [0.0] * (right - left)
        for part in range(_ROWS):
            for start, end in _spans(edges, y + (part + 0.5) / _ROWS):
                _cover(covered, start - spread - left, end + spread - left)
        ink.append(bytes(min(255, round(255 * c / _ROWS)) for c in covered))
    return left, top, ink


def _on(
    curve: tuple[tuple[float, float], tuple[float, float], tuple[float, float]], t: float
) -> tuple[float, float]:
    (ax, ay), (bx, by), (cx, cy) = curve
    a, b, c = (1 - t) ** 2, 2 * t * (1 - t), t * t
    return a * ax + b * bx + c * cx, a * ay + b * by + c * cy


def _spans(edges: list[tuple[float, float, float, float]], y: float) -> list[tuple[float, float]]:
    """Return where a level line at ``y`` is inside: the winding number is not zero."""
    crossings = sorted(
        (ax + (bx - ax) * (y - ay) / (by - ay), 1 if by > ay else -1)
        for ax, ay, bx, by in edges
        if (ay <= y < by) or (by <= y < ay)
    )
    spans: list[tuple[float, float]] = []
    winding, start = 0, 0.0
    for x, turn in crossings:
        if winding == 0:
            start = x
        winding += turn
        if winding == 0:
            spans.append((start, x))
    return spans


def _cover(covered: list[float], start: float, end: float) -> None:
    for x in range(max(0, int(start)), min(len(covered), int(end) + 1)):
        share = min(end, x + 1) - max(start, x)
        covered[x] = min(float(_ROWS), covered[x] + max(0.0, share))
