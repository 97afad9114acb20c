"""A chart as lines, areas and words: the one geometry for screen, paper and web page.

Lengths are in the unit of whoever asks (pixels, millimetres); ``label`` is the height of a line of
labels in it, and everything that belongs to labels follows from that.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from pocketpump.exchange.charts.description import (
    FULL,
    Axis,
    Band,
    Chart,
    Dots,
    Line,
    Note,
    Panel,
    Range,
)

INK, DATA, FILL, GRID, SOFT, PALE = "ink", "data", "fill", "grid", "soft", "pale"
"""What a thing is drawn in: words and marks, what was noted, areas, lines of an axis, the rest, and
what does not count."""
DOT, RING, DROP, DIAMOND, SQUARE = "dot", "ring", "drop", "diamond", "square"
LEFT, MIDDLE, RIGHT = "left", "middle", "right"
_GUTTER, _WIDE_GUTTER = 3.4, 5.6
"""Room for the numbers beside an axis, or for words there, in lines of labels."""
LETTER = 0.58
"""The width of a letter of the labels, as a share of their height (Roboto, Noto Sans)."""
_HEAD = 2.2
"""Room for the title of a panel, clear of the numbers above and below it."""

_EDGE = 0.45
"""Room at the right of a chart, in lines of labels, so that no sign there is cut."""
_MANY_DOTS = 12
_MANY_CUTS = 12
"""More dashed lines than this are drawn thinner, so that what lies between them is seen."""


@dataclass(frozen=True, slots=True)
class Words:
    """A short text; its side ``anchor`` is at ``x`` and its foot at ``y``."""

    x: float
    y: float
    text: str
    anchor: str = LEFT
    bold: bool = False
    role: str = SOFT


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through ``points``, ``weight`` times as thick as a hairline."""

    points: tuple[tuple[float, float], ...]
    role: str
    weight: float = 1.0
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Area:
    """A filled rectangle."""

    x: float
    y: float
    width: float
    height: float
    role: str = FILL


@dataclass(frozen=True, slots=True)
class Spot:
    """A sign around ``x``, ``y``, ``radius`` large on every side."""

    x: float
    y: float
    radius: float
    kind: str = DOT
    role: str = DATA


Placed = Words | Stroke | Area | Spot


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where one panel lies, and where a value of it stands."""

    x_axis: Axis
    y_axis: Axis
    left: float
    right: float
    top: float
    bottom: float
    label: float

    def x(self, value: float) -> float:
        return self.left + self.x_axis.share(value) * (self.right - self.left)

    def y(self, value: float) -> float:
        return self.bottom - self.y_axis.share(value) * (self.bottom - self.top)


def chart_placed(chart: Chart, width: float, height: float, label: float) -> list[Placed]:
    """Return the chart in ``width`` by ``height``, from its top left corner."""
    heads, signs, foot = _labels(chart, label)
    gutter = _gutter(chart) * label
    room = max(height - labels_height(chart, label), label)
    whole = sum(panel.weight for panel in chart.panels)
    titles: list[Placed] = []
    frames: list[_Frame] = []
    y = 0.0
    for panel, head in zip(chart.panels, heads, strict=True):
        if panel.title:
            titles.append(Words(0, y + (_HEAD - 0.85) * label, panel.title, bold=True, role=INK))
        # What is marked above stands between the title of the first panel and its axis.
        top = y + head + (0.0 if frames else signs)
        y = top + room * panel.weight / whole
        frames.append(_Frame(chart.x, panel.y, gutter, width - _EDGE * label, top, y, label))
    placed = [*titles, *(thing for frame in frames for thing in _axis(frame))]
    first, last = frames[0], frames[-1]
    weight = 1.2 if len(chart.cuts) <= _MANY_CUTS else 0.6
    for frame in frames:
        for at in chart.cuts:
            ends = ((frame.x(at), frame.top), (frame.x(at), frame.bottom))
            placed.append(Stroke(ends, SOFT, weight, dashed=True))
    for panel, frame in zip(chart.panels, frames, strict=True):
        placed += _marks(panel, frame)
    small = label * 0.42
    placed += [Spot(first.x(at), first.top - small * 1.4, small, DIAMOND, INK) for at in chart.over]
    placed += [Spot(last.x(at), y + small * 1.4, small, DROP, INK) for at in chart.under]
    return [*placed, *_ticks(last, chart.x, y + foot - 0.3 * label)]


def labels_height(chart: Chart, label: float) -> float:
    """Return how much of a chart's height its labels take."""
    heads, signs, foot = _labels(chart, label)
    return sum(heads) + signs + foot


def _labels(chart: Chart, label: float) -> tuple[list[float], float, float]:
    """Return the room over each panel, for what is marked above the first, and at the foot."""
    heads = [_HEAD * label if panel.title else 0.8 * label for panel in chart.panels]
    return heads, label if chart.over else 0.0, (2.6 if chart.under else 1.5) * label


def _gutter(chart: Chart) -> float:
    longest = max((len(text) for panel in chart.panels for _, text in panel.y.ticks), default=0)
    return _GUTTER if longest * LETTER <= _GUTTER - 0.4 else _WIDE_GUTTER


def _axis(frame: _Frame) -> list[Placed]:
    placed: list[Placed] = []
    ticks = frame.y_axis.ticks
    if (frame.bottom - frame.top) < 1.3 * frame.label * (len(ticks) - 1):
        # Of numbers that would run into each other the ends stand.
        ticks = (ticks[0], ticks[-1])
    for value, text in ticks:
        y = frame.y(value)
        placed.append(Stroke(((frame.left, y), (frame.right, y)), GRID))
        place = frame.left - frame.label * 0.4
        placed.append(Words(place, y + frame.label * 0.35, text, RIGHT))
    return placed


def _ticks(frame: _Frame, axis: Axis, y: float) -> list[Placed]:
    """Return the words under the chart; the outer ones keep inside it."""
    placed: list[Placed] = []
    ticks = _fitting(axis, frame)
    for number, (value, text) in enumerate(ticks):
        x, anchor = frame.x(value), MIDDLE
        if number == 0 and x - frame.left < 2 * frame.label:
            x, anchor = frame.left, LEFT
        elif number == len(ticks) - 1 and frame.right - x < 2 * frame.label:
            x, anchor = frame.right, RIGHT
        placed.append(Words(x, y, text, anchor))
    return placed


def _fitting(axis: Axis, frame: _Frame) -> tuple[tuple[float, str], ...]:
    """Return the ticks, or as many evenly out of them as do not run into each other."""
    last = len(axis.ticks) - 1
    widest = max((len(text) for _, text in axis.ticks), default=0) * LETTER * frame.label
    most = int((frame.right - frame.left) / (widest + frame.label / 2)) if widest else last
    steps = (step for step in range(1, last + 1) if last % step == 0 and last // step < most)
    return axis.ticks[:: next(steps, max(last, 1))]


def _marks(panel: Panel, frame: _Frame) -> list[Placed]:
    placed: list[Placed] = []
    dots = sum(len(mark.points) for mark in panel.marks if isinstance(mark, Dots))
    radius = frame.label * (0.28 if dots > _MANY_DOTS else 0.36)
    ranges = [mark for mark in panel.marks if isinstance(mark, Range)]
    placed += _ranges(ranges, frame)
    for mark in panel.marks:
        if isinstance(mark, Line):
            placed += _line(mark, frame)
        elif isinstance(mark, Dots):
            kind, role = (DOT, DATA) if mark.how == FULL else (RING, DATA)
            if mark.how == "pale":
                kind, role = DOT, PALE
            placed += [Spot(frame.x(x), frame.y(y), radius, kind, role) for x, y in mark.points]
        elif isinstance(mark, Band):
            placed += _band(mark, frame)
    return [*placed, *_notes([mark for mark in panel.marks if isinstance(mark, Note)], frame)]


def _ranges(ranges: Sequence[Range], frame: _Frame) -> list[Placed]:
    """Return bars from lowest to highest first, so that every median lies over them."""
    bars: list[Placed] = []
    middles: list[Placed] = []
    for one in ranges:
        width = max((frame.x(one.x + one.width / 2) - frame.x(one.x - one.width / 2)) * 0.7,
                    frame.label * 0.1)  # fmt: skip
        width = min(width, frame.label * 0.6)
        x, top = frame.x(one.x), frame.y(one.high)
        if one.high > one.low:
            bars.append(Area(x - width / 2, top, width, frame.y(one.low) - top))
        middles.append(
            Spot(
                x,
                frame.y(one.middle),
                min(max(width * 0.55, frame.label * 0.14), frame.label * 0.28),
            )
        )
    return [*bars, *middles]


def _line(line: Line, frame: _Frame) -> list[Placed]:
    points = tuple((frame.x(x), frame.y(y)) for x, y in line.points)
    placed: list[Placed] = []
    if line.filled:
        placed += [
            Area(x, y, to_x - x, frame.bottom - y)
            for (x, y), (to_x, to_y) in pairwise(points)
            if to_x > x and y == to_y
        ]
    weight = 2.0 if line.filled or line.dashed else 1.2
    return [*placed, Stroke(points, DATA, weight, line.dashed)] if len(points) > 1 else placed


def _band(band: Band, frame: _Frame) -> list[Placed]:
    x, y = frame.x(band.left), frame.y(band.high)
    to_x, to_y = frame.x(band.right), frame.y(band.low)
    placed: list[Placed] = [Area(x, y, to_x - x, max(to_y - y, frame.label * 0.12))]
    if band.strong:
        corners = ((x, to_y), (x, y), (to_x, y), (to_x, to_y))
        placed.append(Stroke(corners, INK, 3))
    return placed


def _notes(notes: Sequence[Note], frame: _Frame) -> list[Placed]:
    """Return the words over points; of two that would run into each other the later one stands."""
    kept: list[tuple[float, float, Words]] = []
    for note in reversed(notes):
        wide = (len(note.text) + 1) * LETTER * frame.label
        x, y = frame.x(note.x), frame.y(note.y) - frame.label * 0.3
        left = x + frame.label * 0.3 if note.begins else x - wide / 2
        left = max(min(left, frame.right - wide), frame.left)
        place, anchor = (left, LEFT) if note.begins else (left + wide / 2, MIDDLE)
        apart = (
            left + wide <= other or other + room <= left or abs(y - words.y) > frame.label
            for other, room, words in kept
        )
        if all(apart):
            words = Words(place, y, note.text, anchor, note.bold, INK)
            kept.append((left, wide, words))
    return [words for _, _, words in reversed(kept)]
