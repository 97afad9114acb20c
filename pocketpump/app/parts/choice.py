"""One answer out of a few, all in sight: large options, never a list that drops down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.fields import field_frame, helper_text, named_group, silent_label
from pocketpump.app.parts.layout import box_style, column
from pocketpump.app.parts.tap_guard import GuardedOutline
from pocketpump.core.messages import message


def choice(
    label: str,
    options: Sequence[tuple[str, str]],
    value: str | None,
    on_change: Callable[[str], Any],
    *,
    in_row: bool = False,
    helper: str = "",
    error: str = "",
) -> ft.Control:
    """Exclusive options, each (value, label); ``value`` is the chosen one's.

    Below each other by default; ``in_row`` sets short ones (numbers, yes and no) beside
    each other, wrapping. The chosen one is filled, ticked, and said to be chosen.
    """

    def option(own: str, words: str) -> ft.Control:
        return _option(
            words,
            chosen=own == value,
            on_tap=lambda: on_change(own),
            compact=in_row,
            key=f"option:{own}",
        )

    buttons = [option(own, words) for own, words in options]
    group: ft.Control = (
        ft.Row(buttons, wrap=True, spacing=theme.GAP, run_spacing=theme.GAP)
        if in_row
        else column(buttons)
    )
    # The group carries the label's name, so the words above it stay silent.
    pieces = [silent_label(label)]
    if helper:
        pieces.append(helper_text(helper))
    pieces.append(named_group(label, group))
    return field_frame(pieces, error=error, key=f"field:{label}")


def _option(
    words: str, *, chosen: bool, on_tap: Callable[[], Any], compact: bool, key: str
) -> ft.Control:
    ink = theme.ON_WATER if chosen else theme.INK
    content: list[ft.Control] = [
        ft.Text(words, theme_style=theme.BUTTON, color=ink, expand=not compact)
    ]
    if chosen:
        content.insert(
            0,
            ft.Icon(
                ft.Icons.CHECK, color=ink, size=theme.sized(22), semantics_label=message("chosen")
            ),
        )
    # The tick takes its room from the padding, so nothing moves when a choice is made.
    if compact:
        padding = ft.Padding.symmetric(
            vertical=18, horizontal=10 if chosen else 12 + theme.sized(22) / 2
        )
    else:
        padding = ft.Padding.only(
            top=18, bottom=18, right=16, left=16 if chosen else 20 + theme.sized(22)
        )
    button = ft.Semantics(
        selected=chosen,
        content=GuardedOutline(
            content=ft.Row(
                content, spacing=4, tight=compact, alignment=ft.MainAxisAlignment.CENTER
            ),
            on_click=on_tap,
            style=box_style(padding, chosen=chosen),
        ),
    )
    return ft.MergeSemantics(content=button, key=key)
