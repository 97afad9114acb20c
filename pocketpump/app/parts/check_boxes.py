"""Several answers out of many: large rows, each ticked or not by one tap."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import Any

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.fields import field_frame, named_group, silent_label
from pocketpump.app.parts.layout import box_style, column
from pocketpump.app.parts.tap_guard import GuardedOutline
from pocketpump.core.messages import message


def check_boxes(
    label: str,
    options: Sequence[tuple[str, str]],
    ticked: Collection[str],
    on_toggle: Callable[[str], Any],
) -> ft.Control:
    """The ``options``, each (value, words); ``on_toggle`` is told the value tapped."""
    rows = [_row(own, words, own in ticked, on_toggle) for own, words in options]
    pieces: list[ft.Control] = [silent_label(label), named_group(label, column(rows))]
    return field_frame(pieces, key=f"ticks:{label}")


def _row(own: str, words: str, is_ticked: bool, on_toggle: Callable[[str], Any]) -> ft.Control:
    ink = theme.ON_WATER if is_ticked else theme.INK
    icon = ft.Icons.CHECK_BOX if is_ticked else ft.Icons.CHECK_BOX_OUTLINE_BLANK
    button = ft.Semantics(
        selected=is_ticked,
        content=GuardedOutline(
            content=ft.Row(
                [
                    ft.Icon(
                        icon,
                        size=theme.sized(28),
                        color=theme.DEEP if is_ticked else theme.LINE,
                        semantics_label=message("chosen") if is_ticked else None,
                    ),
                    ft.Text(words, theme_style=theme.BODY, color=ink, expand=True),
                ],
                spacing=theme.GAP,
            ),
            on_click=lambda: on_toggle(own),
            style=box_style(ft.Padding.symmetric(vertical=16, horizontal=14), chosen=is_ticked),
        ),
    )
    return ft.MergeSemantics(content=button, key=f"tick:{own}")
