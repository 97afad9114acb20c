"""A score in one tap: every number in sight, each a large target of its own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.fields import field_frame, named_group, silent_label
from pocketpump.app.parts.layout import SHAPE, box_style
from pocketpump.app.parts.tap_guard import GuardedOutline
from pocketpump.core.messages import message


def number_grid(
    label: str,
    most: int,
    value: str,
    on_change: Callable[[str], Any],
    *,
    columns: int = 4,
    helper: str = "",
    error: str = "",
) -> ft.Control:
    """The whole numbers from 0 to ``most``; ``value`` is the chosen one's text, or "".

    A second tap on the chosen number changes nothing, because hands that jerk tap twice; the
    dash after the last number takes the answer away (``on_change("")``).
    """
    texts = [str(number) for number in range(most + 1)]
    rows: list[ft.Control] = []
    for start in range(0, len(texts), columns):
        cells: list[ft.Control] = [
            _cell(text, chosen=text == value, on_change=on_change)
            for text in texts[start : start + columns]
        ]
        if value and start + columns > len(texts):
            cells.append(_dash(label, on_change))
        # Empty places keep the last row's numbers as wide as the others.
        cells += [ft.Container(expand=True) for _ in range(columns - len(cells))]
        rows.append(ft.Row(cells, spacing=theme.GAP))
    pieces: list[ft.Control] = [
        silent_label(label),
        named_group(label, ft.Column(rows, spacing=theme.GAP)),
    ]
    return field_frame(pieces, helper=helper, error=error, key=f"grid:{label}")


def _dash(label: str, on_change: Callable[[str], Any]) -> ft.Control:
    button = GuardedOutline(
        content=ft.Text(
            "–",
            theme_style=theme.BUTTON,
            color=theme.INK,
            weight=ft.FontWeight.W_700,
            semantics_label=message("No answer: {question}", question=label),
        ),
        height=theme.TARGET,
        on_click=lambda: on_change(""),
        style=box_style(0),
    )
    return ft.Container(button, expand=True, key="number:none")


def _cell(text: str, *, chosen: bool, on_change: Callable[[str], Any]) -> ft.Control:
    ink = theme.ON_DEEP if chosen else theme.INK
    button = ft.Semantics(
        selected=chosen,
        content=GuardedOutline(
            content=ft.Text(
                text,
                theme_style=theme.BUTTON,
                color=ink,
                weight=ft.FontWeight.W_700 if chosen else ft.FontWeight.W_500,
            ),
            height=theme.TARGET,
            on_click=lambda: on_change(text),
            style=ft.ButtonStyle(
                shape=SHAPE,
                side=ft.BorderSide(2, theme.DEEP if chosen else theme.LINE),
                bgcolor=theme.DEEP if chosen else theme.SHELL,
                padding=0,
                visual_density=ft.VisualDensity.STANDARD,
            ),
        ),
    )
    return ft.Container(ft.MergeSemantics(content=button), expand=True, key=f"number:{text}")
