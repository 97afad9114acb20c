"""What parts are laid out in: a column as wide as there is room, a box that can be tapped."""

from __future__ import annotations

from collections.abc import Iterable

import flet as ft

from pocketpump.app.look import theme

SHAPE = ft.RoundedRectangleBorder(radius=theme.RADIUS)
"""The corners of everything that can be tapped."""


def column(
    controls: Iterable[ft.Control], spacing: float = theme.GAP, *, key: str | None = None
) -> ft.Column:
    """Put ``controls`` under each other, each as wide as there is room."""
    return ft.Column(list(controls), spacing=spacing, key=key,
                     horizontal_alignment=ft.CrossAxisAlignment.STRETCH)  # fmt: skip


def scroll_key(name: str) -> ft.ScrollKey:
    """Return the key by which what has it is scrolled to."""
    return ft.ScrollKey(name)  # type: ignore[call-arg]  # flet hides its own constructor


def box_style(padding: ft.PaddingValue, *, chosen: bool = False) -> ft.ButtonStyle:
    """Return the look of an outlined button; filled where it is ``chosen``."""
    return ft.ButtonStyle(
        shape=SHAPE,
        side=ft.BorderSide(3, theme.DEEP) if chosen else ft.BorderSide(2, theme.LINE),
        bgcolor=theme.WATER if chosen else theme.SHELL,
        padding=padding,
        visual_density=ft.VisualDensity.STANDARD,
    )
