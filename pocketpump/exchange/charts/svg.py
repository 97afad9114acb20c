"""A chart as SVG inside of a web page: small, with its words as text."""

from collections.abc import Sequence
from html import escape

from pocketpump.exchange.charts.description import Chart, Shifts
from pocketpump.exchange.charts.placed import (
    DIAMOND,
    DOT,
    DROP,
    RING,
    Area,
    Placed,
    Spot,
    Stroke,
    Words,
    chart_placed,
)
from pocketpump.exchange.charts.placed_shifts import interval_placed, shift_axis_placed

_LABEL = 13.0
_COLOURS = {"ink": "#14262e", "data": "#0f4653", "fill": "#cfe3e6", "grid": "#dbd2c0",
            "soft": "#5b6b71", "pale": "#9aa7ab"}  # fmt: skip
_ANCHORS = {"left": "start", "middle": "middle", "right": "end"}


def chart_svg(chart: Chart, width: float, height: float) -> str:
    """Return the chart as one SVG element, ``width`` by ``height`` pixels where there is room."""
    return _svg(chart_placed(chart, width, height, _LABEL), width, height, chart.spoken)


def shifts_svg(shifts: Shifts, row: int, axis: int, width: float, height: float) -> str:
    """Return the picture of one row of ``shifts`` on one of its axes."""
    interval = shifts.rows[row].intervals[axis]
    words = interval.words if interval else ""
    placed = interval_placed(interval, shifts.axes[axis], width, height, _LABEL)
    return _svg(placed, width, height, words)


def shift_axis_svg(shifts: Shifts, axis: int, width: float) -> str:
    """Return the axis over the rows of ``shifts``."""
    height = 2.6 * _LABEL
    told = shifts.axes[axis]
    return _svg(shift_axis_placed(told, width, _LABEL), width, height, told.title)


def _svg(things: Sequence[Placed], width: float, height: float, spoken: str) -> str:
    drawn = "".join(map(_drawn, things))
    return (
        f'<svg viewBox="0 0 {width:g} {height:g}" width="{width:g}" role="img"'
        f' aria-label="{escape(spoken, quote=True)}">{drawn}</svg>'
    )


def _drawn(thing: Placed) -> str:
    colour = _COLOURS[thing.role]
    if isinstance(thing, Words):
        bold = ' font-weight="bold"' if thing.bold else ""
        return (
            f'<text x="{thing.x:.1f}" y="{thing.y:.1f}" font-size="{_LABEL - 1:g}"'
            f' text-anchor="{_ANCHORS[thing.anchor]}" fill="{colour}"{bold}>'
            f"{escape(thing.text)}</text>"
        )
    if isinstance(thing, Area):
        return (
            f'<rect x="{thing.x:.1f}" y="{thing.y:.1f}" width="{thing.width:.1f}"'
            f' height="{thing.height:.1f}" fill="{colour}"/>'
        )
    if isinstance(thing, Stroke):
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in thing.points)
        dashed = ' stroke-dasharray="4 3"' if thing.dashed else ""
        return (
            f'<polyline points="{points}" fill="none" stroke="{colour}"'
            f' stroke-width="{thing.weight:g}"{dashed}/>'
        )
    return _spot(thing, colour)


def _spot(spot: Spot, colour: str) -> str:
    x, y, r = spot.x, spot.y, spot.radius
    if spot.kind in (DOT, RING):
        fill = colour if spot.kind == DOT else "#fff"
        return (
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}" fill="{fill}" stroke="{colour}"'
            f' stroke-width="{1.5 if spot.kind == RING else 0:g}"/>'
        )
    corners = [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)]
    if spot.kind == DIAMOND:
        corners = [(x, y - r), (x + r, y), (x, y + r), (x - r, y)]
    elif spot.kind == DROP:
        corners = [(x, y - r), (x + r, y + r / 2), (x + r / 2, y + r), (x - r / 2, y + r),
                   (x - r, y + r / 2)]  # fmt: skip
    points = " ".join(f"{px:.1f},{py:.1f}" for px, py in corners)
    return f'<polygon points="{points}" fill="{colour}"/>'
