"""One TrueType font: which letters it has, how wide they are, how they are drawn.

Reads what ``tools/make_fonts.py`` writes: character maps of formats 4 and 12, simple
glyphs only. Format: the OpenType specification, tables cmap, head, hhea, hmtx, loca, glyf.
"""

from dataclasses import dataclass, field
from functools import cached_property
from struct import unpack_from

Point = tuple[float, float]
Curve = tuple[Point, Point, Point]
"""A quadratic curve: start, control point, end; a straight line has its control midway."""

_HAS_SHORT_X, _HAS_SHORT_Y, _REPEAT, _SAME_X, _SAME_Y = 2, 4, 8, 16, 32


@dataclass(frozen=True)
class Font:
    """A font file. Lengths are in the font's own units, ``units`` of them to the em."""

    name: str
    data: bytes = field(repr=False)

    @cached_property
    def _tables(self) -> dict[str, int]:
        count = unpack_from(">H", self.data, 4)[0]
        records = (unpack_from(">4sLLL", self.data, 12 + 16 * i) for i in range(count))
        return {tag.decode("ascii"): offset for tag, _sum, offset, _length in records}

    @cached_property
    def units(self) -> int:
        """How many units make one em."""
        return int(unpack_from(">H", self.data, self._tables["head"] + 18)[0])

    @cached_property
    def box(self) -> tuple[int, int, int, int]:
        """The smallest box that holds every glyph: left, bottom, right, top."""
        left, bottom, right, top = unpack_from(">4h", self.data, self._tables["head"] + 36)
        return left, bottom, right, top

    @cached_property
    def glyphs(self) -> int:
        """How many glyphs there are."""
        return int(unpack_from(">H", self.data, self._tables["maxp"] + 4)[0])

    @cached_property
    def letters(self) -> dict[int, int]:
        """Which glyph draws which code point."""
        start = self._tables["cmap"]
        found: dict[int, int] = {}
        for i in range(unpack_from(">H", self.data, start + 2)[0]):
            platform, _kind, offset = unpack_from(">HHL", self.data, start + 4 + 8 * i)
            table = start + offset
            kind = unpack_from(">H", self.data, table)[0]
            if platform in (0, 3) and kind == 4:
                found |= self._format_4(table)
            elif platform in (0, 3) and kind == 12:
                found |= self._format_12(table)
        return found

    def _format_4(self, table: int) -> dict[int, int]:
        count = unpack_from(">H", self.data, table + 6)[0] // 2
        ends = unpack_from(f">{count}H", self.data, table + 14)
        at = table + 16 + 2 * count
        starts = unpack_from(f">{count}H", self.data, at)
        deltas = unpack_from(f">{count}H", self.data, at + 2 * count)
        ranges = unpack_from(f">{count}H", self.data, at + 4 * count)
        found: dict[int, int] = {}
        for i in range(count):
            for code in range(starts[i], ends[i] + 1):
                glyph = code
                if ranges[i]:
                    spot = at + 4 * count + 2 * i + ranges[i] + 2 * (code - starts[i])
                    glyph = unpack_from(">H", self.data, spot)[0]
                    if glyph == 0:
                        continue
                found[code] = (glyph + deltas[i]) & 0xFFFF
        found.pop(0xFFFF, None)
        return {code: glyph for code, glyph in found.items() if glyph}

    def _format_12(self, table: int) -> dict[int, int]:
        found: dict[int, int] = {}
        for i in range(unpack_from(">L", self.data, table + 12)[0]):
            first, last, glyph = unpack_from(">LLL", self.data, table + 16 + 12 * i)
            found |= {code: glyph + code - first for code in range(first, last + 1)}
        return found

    def width(self, glyph: int) -> int:
        """Return how far the pen moves on after ``glyph``."""
        count = unpack_from(">H", self.data, self._tables["hhea"] + 34)[0]
        index = min(glyph, count - 1)
        return int(unpack_from(">H", self.data, self._tables["hmtx"] + 4 * index)[0])

    def outline(self, glyph: int) -> tuple[tuple[Curve, ...], ...]:
        """Return the closed contours of ``glyph``; none for a space."""
        start, end = self._span(glyph)
        if start == end:
            return ()
        at = self._tables["glyf"] + start
        contours = unpack_from(">h", self.data, at)[0]
        if contours < 0:
            raise ValueError(f"glyph {glyph} of {self.name} is made of others")
        ends = unpack_from(f">{contours}H", self.data, at + 10)
        at += 10 + 2 * contours
        at += 2 + unpack_from(">H", self.data, at)[0]
        points, on_curve = self._points(at, ends[-1] + 1 if ends else 0)
        outlines = []
        first = 0
        for last in ends:
            part = slice(first, last + 1)
            outlines.append(_curves(points[part], on_curve[part]))
            first = last + 1
        return tuple(outlines)

    def _span(self, glyph: int) -> tuple[int, int]:
        long = unpack_from(">h", self.data, self._tables["head"] + 50)[0]
        start = self._tables["loca"]
        if long:
            first, last = unpack_from(">LL", self.data, start + 4 * glyph)
            return first, last
        first, last = unpack_from(">HH", self.data, start + 2 * glyph)
        return 2 * first, 2 * last

    def _points(self, at: int, count: int) -> tuple[list[Point], list[bool]]:
        flags: list[int] = []
        while len(flags) < count:
            flag = self.data[at]
            at += 1
            flags.append(flag)
            if flag & _REPEAT:
                flags += [flag] * self.data[at]
                at += 1
        xs, at = self._ordinates(at, flags, _HAS_SHORT_X, _SAME_X)
        ys, at = self._ordinates(at, flags, _HAS_SHORT_Y, _SAME_Y)
        return list(zip(xs, ys, strict=True)), [bool(flag & 1) for flag in flags]

    def _ordinates(
        self, at: int, flags: list[int], short: int, same: int
    ) -> tuple[list[float], int]:
        values: list[float] = []
        value = 0
        for flag in flags:
            if flag & short:
                value += self.data[at] if flag & same else -self.data[at]
                at += 1
            elif not flag & same:
                value += unpack_from(">h", self.data, at)[0]
                at += 2
            values.append(float(value))
        return values, at


def _curves(points: list[Point], on_curve: list[bool]) -> tuple[Curve, ...]:
    """Return one closed contour; between two control points lies a point of the curve."""
    whole: list[tuple[Point, bool]] = []
    for i, (point, on) in enumerate(zip(points, on_curve, strict=True)):
        before, was_on = points[i - 1], on_curve[i - 1]
        if not on and not was_on:
            whole.append((_middle(before, point), True))
        whole.append((point, on))
    start = next((i for i, (_, on) in enumerate(whole) if on), None)
    if start is None or len(whole) < 2:
        return ()
    ring = [*whole[start:], *whole[: start + 1]]
    curves: list[Curve] = []
    here = ring[0][0]
    control: Point | None = None
    for point, on in ring[1:]:
        if on:
            curves.append((here, control or _middle(here, point), point))
            here, control = point, None
        else:
            control = point
    return tuple(curves)


def _middle(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
