"""What is folded away until it is wanted: a row with its title, unfolded by one tap."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.layout import box_style, column
from pocketpump.app.parts.tap_guard import GuardedOutline


def expander(
    title: str,
    note: str,
    controls: Sequence[ft.Control],
    *,
    is_open: bool,
    on_toggle: Callable[[], None],
    key: str,
) -> ft.Control:
    """The row ``title`` with ``note`` under it, and below it the ``controls`` while it is open.

    The part holds no state: the screen says whether it is open.
    """
    arrow = ft.Icons.KEYBOARD_ARROW_UP if is_open else ft.Icons.KEYBOARD_ARROW_DOWN
    words: list[ft.Control] = [ft.Text(title, theme_style=theme.BODY, color=theme.DEEP)]
    if note:
        words.append(ft.Text(note, theme_style=theme.STRONG, color=theme.DEEP))
    button = ft.Semantics(
        expanded=is_open,
        content=GuardedOutline(
            content=ft.Row(
                [
                    ft.Column(words, spacing=2, expand=True),
                    ft.Icon(arrow, color=theme.DEEP, size=theme.sized(26)),
                ],
                spacing=theme.GAP,
            ),
            style=box_style(ft.Padding.symmetric(vertical=16, horizontal=14)),
            on_click=on_toggle,
        ),
    )
    pieces: list[ft.Control] = [ft.MergeSemantics(content=button, key=key)]
    if is_open:
        pieces += controls
    return column(pieces)
