"""A call in one line, for where there is little room."""

from __future__ import annotations

import flet as ft

from pocketpump.app import theme
from pocketpump.core.wording import worded

_NO_BREAK = "\N{NO-BREAK SPACE}"


def call_line(name: str, phone: str, dialled: str, *, first: bool, key: str) -> ft.Control:
    """Call ``name``, as :func:`.calls.call_button` does, with the number in the same line."""
    ink = theme.ON_DEEP if first else theme.DEEP
    return ft.FilledButton(
        content=ft.Row(
            [
                ft.Icon(ft.Icons.CALL, size=theme.sized(26), color=ink),
                ft.Text(
                    # A number broken over two lines is dialled wrong by who reads it off.
                    worded("Call {name}: {phone}", name=name, phone=phone.replace(" ", _NO_BREAK)),
                    theme_style=theme.BUTTON,
                    color=ink,
                    expand=True,
                ),
            ],
            spacing=theme.GAP,
        ),
        action=ft.OpenUrl(f"tel:{dialled}", target=ft.UrlTarget.SELF),
        style=ft.ButtonStyle(
            shape=ft.RoundedRectangleBorder(radius=theme.RADIUS),
            padding=ft.Padding.symmetric(vertical=16, horizontal=16),
            bgcolor=theme.DEEP if first else theme.SHELL,
            side=ft.BorderSide(2, theme.DEEP if first else theme.LINE),
            elevation=0,
            visual_density=ft.VisualDensity.STANDARD,
        ),
        key=key,
    )
