"""Buttons: one main kind, one quiet kind."""

from __future__ import annotations

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.layout import SHAPE
from pocketpump.app.parts.tap_guard import GuardedButton, GuardedOutline, Tap


def _content(label: str, icon: ft.IconData | None, colour: str) -> ft.Control:
    """The words and icon on a button; the words wrap rather than being cut."""
    text = ft.Text(
        label,
        theme_style=theme.BUTTON,
        color=colour,
        text_align=ft.TextAlign.CENTER,
        expand=True,
        expand_loose=True,
    )
    if icon is None:
        return ft.Row([text], alignment=ft.MainAxisAlignment.CENTER)
    return ft.Row(
        [ft.Icon(icon, size=theme.sized(26), color=colour), text],
        alignment=ft.MainAxisAlignment.CENTER,
        spacing=theme.GAP,
    )


def _style(*, filled: bool, vertical: int) -> ft.ButtonStyle:
    return ft.ButtonStyle(
        shape=SHAPE,
        padding=ft.Padding.symmetric(vertical=vertical, horizontal=18),
        bgcolor=theme.DEEP if filled else theme.SHELL,
        side=ft.BorderSide(0 if filled else 2, ft.Colors.TRANSPARENT if filled else theme.LINE),
        elevation=0,
        visual_density=ft.VisualDensity.STANDARD,
    )


def big_button(label: str, on_tap: Tap, *, icon: ft.IconData | None = None) -> ft.Control:
    """The main thing to do here: as wide as the column, at least 64 high."""
    return GuardedButton(
        content=_content(label, icon, theme.ON_DEEP),
        style=_style(filled=True, vertical=20),
        on_click=on_tap,
        key=f"button:{label}",
    )


def quiet_button(
    label: str, on_tap: Tap, *, icon: ft.IconData | None = None, key: str | None = None
) -> ft.Control:
    """Another thing that can be done here: outlined, at least 56 high."""
    return GuardedOutline(
        content=_content(label, icon, theme.DEEP),
        style=_style(filled=False, vertical=16),
        on_click=on_tap,
        key=key or f"button:{label}",
    )
