"""The shifts after changes of the dose as lines and words, as `placed` does it for charts."""

from pocketpump.exchange.charts.description import Interval, ShiftAxis
from pocketpump.exchange.charts.placed import (
    DATA,
    GRID,
    INK,
    LEFT,
    LETTER,
    MIDDLE,
    RIGHT,
    RING,
    SOFT,
    SQUARE,
    Placed,
    Spot,
    Stroke,
    Words,
)


def shift_axis_placed(axis: ShiftAxis, width: float, label: float) -> list[Placed]:
    """Return the axis over all rows of shifts: its words at the ends, its numbers under them."""
    placed: list[Placed] = [
        Words(0, label, axis.less, LEFT, role=INK),
        Words(width, label, axis.more, RIGHT, role=INK),
    ]
    if (len(axis.less) + len(axis.title) + len(axis.more) + 4) * LETTER * label <= width:
        placed.append(Words(width / 2, label, axis.title, MIDDLE, bold=True, role=INK))
    for number, (value, text) in enumerate(axis.x.ticks):
        anchor = LEFT if number == 0 else RIGHT if number == len(axis.x.ticks) - 1 else MIDDLE
        placed.append(Words(axis.x.share(value) * width, 2.2 * label, text, anchor))
    return placed


def interval_placed(
    interval: Interval | None, axis: ShiftAxis, width: float, height: float, label: float
) -> list[Placed]:
    """Return one shift on its axis: the likely range as a bar, the points as a square on it.

    What may not be claimed is drawn open. An end that reaches beyond the axis is an arrow at its
    edge.
    """
    zero, y = axis.x.share(0.0) * width, height / 2
    placed: list[Placed] = [
        Stroke(((0, y), (width, y)), GRID),
        Stroke(((zero, 0), (zero, height)), SOFT, 1.2),
    ]
    if interval is None:
        return placed
    low, at, high = (
        axis.x.share(value) * width for value in (interval.low, interval.points, interval.high)
    )
    placed.append(Stroke(((low, y), (high, y)), DATA, 4 if interval.clear else 2))
    for end, value, inwards in ((low, interval.low, 1), (high, interval.high, -1)):
        if axis.x.low <= value <= axis.x.high:
            placed.append(Stroke(((end, y - label / 4), (end, y + label / 4)), DATA, 2))
        else:
            back = end + inwards * label / 2
            placed.append(Stroke(((back, y - label / 3), (end, y), (back, y + label / 3)), DATA, 2))
    kind, radius = SQUARE if interval.clear else RING, label * 0.4
    placed.append(Spot(min(max(at, radius), width - radius), y, radius, kind))
    return placed
