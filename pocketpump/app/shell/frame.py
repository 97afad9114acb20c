"""The bar, the rail and the column between them: drawing only, no state."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.calls import Pinned
from pocketpump.app.parts.layout import SHAPE, column
from pocketpump.app.parts.tap_guard import GuardedText
from pocketpump.app.parts.texts import section
from pocketpump.core.messages import message

_NAV_SIZE = 15
_NAV_MOST = 19
"""Five names stand side by side on the narrowest phone up to this size; beyond it they
would break. Every place is also named in full at the head of its screen."""
_NAV_LETTERS = 7
"""Names with more letters are drawn smaller, to fit."""
_LETTER = 0.58
"""The width of a letter of the bold font, on average, of its size."""
_BAR_PADDING = 6
_NARROW = 352
"""Below this width five places of the least size leave no room for the full gap."""


@dataclass(frozen=True)
class BarPlace:
    """One of the places in the bar."""

    route: str
    label: str
    icon: ft.IconData


def frame(
    controls: list[ft.Control],
    *,
    route: str,
    title: str,
    places: Sequence[BarPlace],
    place: str,
    said: ft.Control | None,
    on_go: Callable[[str], None],
    on_back: Callable[[], None] | None,
    wide: bool,
    bare: bool,
    scale: float,
    width: float,
) -> tuple[ft.Control, ft.Column]:
    """The whole window for one screen, and the column in it that scrolls.

    Keys tell flet what is the same thing drawn again (keep focus and scroll) and what
    is another screen (start afresh at the top).
    """
    head: list[ft.Control] = []
    if on_back:
        head.append(_back(on_back))
    head.append(section(title, level=1))
    if said:
        head.append(said)
    pinned = [control for control in controls if isinstance(control, Pinned)]
    controls = [control for control in controls if not isinstance(control, Pinned)]
    scrolled = ft.Column(
        [
            ft.Container(
                ft.Container(column([*head, *controls], theme.SPACE), width=theme.CONTENT_WIDTH),
                alignment=ft.Alignment.TOP_CENTER,
                padding=ft.Padding.only(left=20, right=20, top=16, bottom=32),
            )
        ],
        scroll=ft.ScrollMode.AUTO,
        expand=True,
        horizontal_alignment=ft.CrossAxisAlignment.STRETCH,
        key=f"screen:{route}",
    )
    content: ft.Control = scrolled
    if pinned:
        content = ft.Column([scrolled, *pinned], spacing=0, expand=True)
    if bare:
        return ft.SafeArea(content, expand=True, key="frame:bare"), scrolled
    gap = theme.GAP if width >= _NARROW else 8
    size = _name_size(places, scale, gap, width)
    entries = [_entry(p, here=p.route == place, on_go=on_go, size=size) for p in places]
    if wide:
        rail = ft.Container(
            ft.Column(
                entries,
                spacing=theme.GAP,
                alignment=ft.MainAxisAlignment.CENTER,
                horizontal_alignment=ft.CrossAxisAlignment.STRETCH,
            ),
            width=128,
            padding=theme.GAP,
            bgcolor=theme.SHELL,
            border=ft.Border.only(right=ft.BorderSide(1, theme.HAIRLINE)),
            key="places",
        )
        window: ft.Control = ft.Row(
            [rail, content],
            spacing=0,
            expand=True,
            vertical_alignment=ft.CrossAxisAlignment.STRETCH,
        )
        return ft.SafeArea(window, expand=True, key="frame:wide"), scrolled
    bar = ft.Container(
        ft.Row([ft.Container(e, expand=True) for e in entries], spacing=gap),
        padding=ft.Padding.symmetric(vertical=6, horizontal=_BAR_PADDING),
        bgcolor=theme.SHELL,
        border=ft.Border.only(top=ft.BorderSide(1, theme.HAIRLINE)),
        key="places",
    )
    whole = ft.Column([content, bar], spacing=0, expand=True)
    return ft.SafeArea(whole, expand=True, key="frame:narrow"), scrolled


def _name_size(places: Sequence[BarPlace], scale: float, gap: float, width: float) -> float:
    """Return how large the names in the bar are: as the person wants, but never cut."""
    size = min(_NAV_SIZE * scale, _NAV_MOST)
    longest = max((len(place.label) for place in places), default=0)
    if longest <= _NAV_LETTERS:
        return size
    room = (width - 2 * _BAR_PADDING - gap * (len(places) - 1)) / len(places)
    return min(size, room / (longest * _LETTER))


def _back(on_back: Callable[[], None]) -> ft.Control:
    return ft.Row(
        [
            GuardedText(
                content=ft.Row(
                    [
                        ft.Icon(ft.Icons.ARROW_BACK, color=theme.DEEP, size=theme.sized(26)),
                        ft.Text(message("Back"), theme_style=theme.BUTTON, color=theme.DEEP),
                    ],
                    tight=True,
                ),
                style=ft.ButtonStyle(
                    padding=ft.Padding.symmetric(vertical=16, horizontal=12), shape=SHAPE
                ),
                on_click=on_back,
                key="back",
            )
        ]
    )


def _entry(place: BarPlace, *, here: bool, on_go: Callable[[str], None], size: float) -> ft.Control:
    ink = theme.ON_WATER if here else theme.SOFT_INK
    weight = ft.FontWeight.W_700 if here else ft.FontWeight.W_500
    entry = ft.Semantics(
        selected=here,
        content=GuardedText(
            content=ft.Column(
                [
                    ft.Icon(place.icon, color=ink, size=26),
                    ft.Text(
                        place.label,
                        size=size,
                        weight=weight,
                        color=ink,
                        no_wrap=True,
                        text_align=ft.TextAlign.CENTER,
                    ),
                ],
                spacing=2,
                tight=True,
                horizontal_alignment=ft.CrossAxisAlignment.CENTER,
                alignment=ft.MainAxisAlignment.CENTER,
            ),
            style=ft.ButtonStyle(
                bgcolor=theme.WATER if here else ft.Colors.TRANSPARENT,
                padding=ft.Padding.symmetric(vertical=8, horizontal=2),
                shape=SHAPE,
            ),
            height=max(64, 34 + size * 2),
            on_click=lambda: on_go(place.route),
        ),
    )
    return ft.MergeSemantics(content=entry, key=f"place:{place.route}")
