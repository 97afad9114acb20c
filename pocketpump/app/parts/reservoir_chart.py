"""The waterline: a tall vessel with what is left in the pump drawn to scale."""

from __future__ import annotations

from collections.abc import Sequence

import flet as ft
import flet.canvas as cv

from pocketpump.app.look import theme
from pocketpump.app.parts.chart import fill, picture
from pocketpump.app.parts.level_layout import LevelMark, PlacedMark, Vessel, amount_y, place_marks
from pocketpump.core.messages import localized_number, message

_VESSEL_WIDTH = 92
_LEADER = 24
_LETTER = 0.55
"""The width of a letter in the labels, as a share of its size: enough for Roboto bold."""

_MARGIN = 10
_HEIGHT = 300.0


def reservoir_chart(
    volume_ml: float | None,
    capacity_ml: float,
    marks: Sequence[LevelMark],
    *,
    spoken: str,
    scale: float = 1.0,
) -> ft.Control:
    """The vessel, its level and its marks; ``spoken`` says all of it to a screen reader.

    ``volume_ml`` is ``None`` while it cannot be computed: the vessel then stands empty
    with a question mark. ``scale`` is the person's text scale.
    """
    vessel = vessel_of(capacity_ml)
    placed = placed_marks(marks, vessel, scale)
    longest = max((len(mark.label) for mark in marks), default=0)
    label_width = longest * theme.SMALL_SIZE * scale * _LETTER
    shapes: list[cv.Shape] = []
    if volume_ml is not None:
        shapes += _water(vessel, volume_ml)
    for mark in placed:
        shapes += _mark(vessel, mark, scale)
    shapes += [_outline(vessel), _amount(vessel, volume_ml, placed, scale)]
    return picture(shapes, vessel.right + _LEADER + label_width, _HEIGHT, spoken)


def vessel_of(capacity_ml: float) -> Vessel:
    """Return the vessel of a reservoir that holds ``capacity_ml``, as the chart has it."""
    return Vessel(
        left=_MARGIN,
        right=_MARGIN + _VESSEL_WIDTH,
        top=_MARGIN + 14,
        bottom=_HEIGHT - _MARGIN,
        radius=30,
        capacity_ml=capacity_ml,
    )


def placed_marks(
    marks: Sequence[LevelMark], vessel: Vessel, scale: float = 1.0
) -> list[PlacedMark]:
    """Return where the marks and their labels stand in the chart."""
    height = theme.SMALL_SIZE * scale * 1.5
    return place_marks(marks, vessel, label_height=height, floor=_HEIGHT, ceiling=0)


def amount_text(volume_ml: float) -> str:
    """Return what is written into the water."""
    return message("{number} {unit}", number=localized_number(f"{volume_ml:.1f}"), unit="mL")


def _wall(vessel: Vessel, start: float) -> list[cv.Path.PathElement]:
    """From the right wall at height ``start`` round the bottom to the left wall."""
    inset = vessel.inset(start)
    shoulder = max(start, vessel.bottom - vessel.radius)
    return [
        cv.Path.LineTo(vessel.right - inset, shoulder),
        cv.Path.ArcTo(vessel.right - vessel.radius, vessel.bottom, radius=vessel.radius),
        cv.Path.LineTo(vessel.left + vessel.radius, vessel.bottom),
        cv.Path.ArcTo(vessel.left + inset, shoulder, radius=vessel.radius),
        cv.Path.LineTo(vessel.left + inset, start),
    ]


def _outline(vessel: Vessel) -> cv.Shape:
    """The wall in ink, open at the top, with a small lip turned outwards."""
    lip = 8
    return cv.Path(
        [
            cv.Path.MoveTo(vessel.right + lip, vessel.top - 12),
            cv.Path.QuadraticTo(vessel.right, vessel.top - 10, vessel.right, vessel.top + 4),
            *_wall(vessel, vessel.top + 4),
            cv.Path.QuadraticTo(vessel.left, vessel.top - 10, vessel.left - lip, vessel.top - 12),
        ],
        paint=ft.Paint(
            color=theme.INK,
            style=ft.PaintingStyle.STROKE,
            stroke_width=2.5,
            stroke_cap=ft.StrokeCap.ROUND,
            stroke_join=ft.StrokeJoin.ROUND,
        ),
    )


def _water(vessel: Vessel, volume_ml: float) -> list[cv.Shape]:
    """The water, and its surface: one slow swell, flat when there is almost none."""
    y = vessel.y_of(volume_ml)
    if y >= vessel.bottom - 0.5:
        return []
    swell = min(4.0, (vessel.bottom - y) / 4, max(y - vessel.top, 0.0))
    inset = vessel.inset(y)
    left, right = vessel.left + inset, vessel.right - inset
    third = (right - left) / 3
    surface: list[cv.Path.PathElement] = [
        cv.Path.MoveTo(left, y),
        cv.Path.CubicTo(left + third, y - swell, right - third, y + swell, right, y),
    ]
    return [
        cv.Path([*surface, *_wall(vessel, y), cv.Path.Close()], paint=fill(theme.WATER)),
        cv.Path(
            surface, paint=ft.Paint(color=theme.DEEP, style=ft.PaintingStyle.STROKE, stroke_width=2)
        ),
    ]


def _mark(vessel: Vessel, placed: PlacedMark, scale: float) -> list[cv.Shape]:
    """A short line inside the wall, a leader to the label, the label."""
    colour = theme.ACCENT if placed.mark.needs_you else theme.INK
    right = vessel.right - vessel.inset(placed.y)
    elbow = vessel.right + 12
    return [
        cv.Path(
            [
                cv.Path.MoveTo(right - 16, placed.y),
                cv.Path.LineTo(elbow, placed.y),
                cv.Path.LineTo(vessel.right + _LEADER - 6, placed.label_y),
            ],
            paint=ft.Paint(
                color=colour,
                style=ft.PaintingStyle.STROKE,
                stroke_width=2.5 if placed.mark.leading else 1.5,
                stroke_join=ft.StrokeJoin.ROUND,
            ),
        ),
        cv.Text(
            vessel.right + _LEADER,
            placed.label_y,
            placed.mark.label,
            style=_type(colour, theme.SMALL_SIZE * scale, bold=placed.mark.leading),
            alignment=ft.Alignment.CENTER_LEFT,
        ),
    ]


def _amount(
    vessel: Vessel, volume_ml: float | None, placed: Sequence[PlacedMark], scale: float
) -> cv.Shape:
    """How much there is, in the water, or over it when it is too shallow for words."""
    size = theme.BODY_SIZE * min(scale, 1.25)
    if volume_ml is None:
        y, text = (vessel.top + vessel.bottom) / 2, "?"
    else:
        y = amount_y(vessel, volume_ml, [mark.y for mark in placed], text_height=size * 1.3)
        text = amount_text(volume_ml)
    return cv.Text(
        (vessel.left + vessel.right) / 2,
        y,
        text,
        style=_type(theme.INK, size, bold=True),
        alignment=ft.Alignment.CENTER,
    )


def _type(colour: ft.ColorValue, size: float, *, bold: bool) -> ft.TextStyle:
    weight = ft.FontWeight.W_700 if bold else ft.FontWeight.W_400
    return ft.TextStyle(size=size, color=colour, weight=weight, font_family="Roboto")
