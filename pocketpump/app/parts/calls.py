"""A button that dials: the telephone opens inside the tap itself."""

from __future__ import annotations

import flet as ft

from pocketpump.app.look import theme
from pocketpump.core.messages import joined, message


def call_button(name: str, phone: str, dialled: str, *, first: bool, key: str) -> ft.Control:
    """Call ``name``: ``phone`` is the number as written, ``dialled`` what the telephone gets.

    ``first`` marks the number to call before the others.
    """
    told = joined("\n", (message("Call {name}", name=name), phone))
    words = ft.Text(told, theme_style=theme.BUTTON, expand=True)
    return dialling_first(words, dialled, first=first, icon_size=theme.sized(28), key=key)


def dialling_first(
    words: ft.Text, dialled: str, *, first: bool, icon_size: float, key: str
) -> ft.Control:
    """Return `dialling` in the app's colours, filled when ``first``; ``words`` take its ink."""
    ink = theme.ON_DEEP if first else theme.DEEP
    words.color = ink
    return dialling(
        words,
        dialled,
        ink=ink,
        ground=theme.DEEP if first else theme.SHELL,
        edge=theme.DEEP if first else theme.LINE,
        icon_size=icon_size,
        key=key,
    )


def dialling(
    words: ft.Control,
    dialled: str,
    *,
    ink: ft.ColorValue,
    ground: ft.ColorValue,
    edge: ft.ColorValue,
    icon_size: float,
    key: str,
    padding: tuple[int, int] = (16, 16),
) -> ft.Control:
    """Return a button that dials ``dialled``, with a receiver of the colour ``ink`` and ``words``.

    ``padding`` is the free space above and below, and at the sides.
    The link is followed by the client, inside the tap itself, because a browser may refuse one
    that comes back from Python after it. So it is none of Flet's buttons: those lose the tap of
    a finger that rests, and no client action can be given to a long press. A box with ink waits
    for the release, however late.
    """
    # Words in one line must not make the box lower than a finger needs.
    receiver = ft.Container(
        ft.Icon(ft.Icons.CALL, size=icon_size, color=ink),
        height=max(icon_size, theme.TARGET - 2 * padding[0]),
        alignment=ft.Alignment.CENTER,
    )
    content = ft.Row([receiver, words], spacing=theme.GAP)
    box = ft.Container(
        content,
        ink=True,
        action=ft.OpenUrl(f"tel:{dialled}", target=ft.UrlTarget.SELF),
        # Without a listener of its own the box would not take the tap.
        on_click=lambda: None,
        bgcolor=ground,
        border=ft.Border.all(2, edge),
        border_radius=theme.RADIUS,
        padding=ft.Padding.symmetric(vertical=padding[0], horizontal=padding[1]),
    )
    return ft.MergeSemantics(content=ft.Semantics(button=True, content=box), key=key)


class Pinned(ft.Container):
    """What stays in sight under a screen while the rest of it scrolls; the frame puts it there."""
