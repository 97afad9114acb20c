"""A button that dials: the telephone opens inside the tap itself."""

from __future__ import annotations

import flet as ft

from pocketpump.app import theme
from pocketpump.core.wording import joined, worded


def call_button(name: str, phone: str, dialled: str, *, first: bool, key: str) -> ft.Control:
    """Call ``name``: ``phone`` is the number as written, ``dialled`` what the telephone gets.

    ``first`` marks the number to call before the others. The link is followed by the
    client, because a browser may refuse one that comes back from Python after the tap.
    """
    ink = theme.ON_DEEP if first else theme.DEEP
    return ft.FilledButton(
        content=ft.Row(
            [
                ft.Icon(ft.Icons.CALL, size=theme.sized(28), color=ink),
                ft.Text(
                    joined("\n", (worded("Call {name}", name=name), phone)),
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
            padding=ft.Padding.symmetric(vertical=16, horizontal=18),
            bgcolor=theme.DEEP if first else theme.SHELL,
            side=ft.BorderSide(2, theme.DEEP if first else theme.LINE),
            elevation=0,
            visual_density=ft.VisualDensity.STANDARD,
        ),
        key=key,
    )


class Pinned(ft.Container):
    """What stays in sight under a screen while the rest of it scrolls; the frame puts it there."""
