"""Headings, facts, the working behind a number, and messages that stay."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.buttons import quiet_button
from pocketpump.app.parts.layout import SHAPE, column
from pocketpump.app.parts.tap_guard import GuardedText, Tap
from pocketpump.core.messages import message


def section(title: str, *, level: int = 2) -> ft.Control:
    """A heading; ``level`` 1 is the screen's own title, one to a screen."""
    return ft.Semantics(
        content=ft.Text(title, theme_style=theme.TITLE if level == 1 else theme.HEADING),
        heading_level=level,
        header=True,
    )


def body(text: str, *, soft: bool = False) -> ft.Control:
    """A paragraph."""
    return ft.Text(text, theme_style=theme.BODY, color=theme.SOFT_INK if soft else theme.INK)


def fact_row(label: str, value: str, *, note: str = "") -> ft.Control:
    """One fact: its name, its value, and a note under it. Wraps when words are large."""
    lines: list[ft.Control] = [
        ft.Row(
            [
                ft.Text(label, theme_style=theme.BODY, color=theme.SOFT_INK),
                ft.Text(value, theme_style=theme.STRONG),
            ],
            wrap=True,
            spacing=theme.GAP,
            run_spacing=0,
            alignment=ft.MainAxisAlignment.SPACE_BETWEEN,
        )
    ]
    if note:
        lines.append(ft.Text(note, theme_style=theme.SMALL, color=theme.SOFT_INK))
    return ft.MergeSemantics(
        content=ft.Container(
            column(lines, 2),
            padding=ft.Padding.symmetric(vertical=10),
            border=ft.Border.only(bottom=ft.BorderSide(1, theme.HAIRLINE)),
        )
    )


def card(controls: Sequence[ft.Control]) -> ft.Control:
    """A sheet that holds what belongs together."""
    return ft.Container(
        column(controls), bgcolor=theme.SHELL, border_radius=theme.RADIUS, padding=theme.SPACE
    )


def explain(
    lines: Sequence[tuple[str, str]],
    *,
    is_open: bool,
    on_toggle: Callable[[], None],
    title: str = message("How was this worked out?"),
) -> ft.Control:
    """The working behind a number: each line is (what, formula or value).

    The part holds no state: the screen says whether it is open. ``App.explain`` does
    that for a screen.
    """
    arrow = ft.Icons.KEYBOARD_ARROW_UP if is_open else ft.Icons.KEYBOARD_ARROW_DOWN
    button = ft.Semantics(
        expanded=is_open,
        content=GuardedText(
            content=ft.Row(
                [
                    ft.Icon(arrow, color=theme.DEEP, size=theme.sized(26)),
                    ft.Text(title, theme_style=theme.BODY, color=theme.DEEP, expand=True),
                ]
            ),
            style=ft.ButtonStyle(
                padding=ft.Padding.symmetric(vertical=18, horizontal=4), shape=SHAPE
            ),
            on_click=on_toggle,
        ),
    )
    parts: list[ft.Control] = [ft.MergeSemantics(content=button)]
    if is_open:
        parts.append(
            ft.Container(
                ft.Column([_working(what, how) for what, how in lines], spacing=theme.GAP),
                border=ft.Border.only(left=ft.BorderSide(3, theme.WATER)),
                padding=ft.Padding.only(left=16, top=4, bottom=4),
                margin=ft.Margin.only(left=12),
            )
        )
    return column(parts, 4)


def _working(what: str, how: str) -> ft.Control:
    return ft.MergeSemantics(
        content=ft.Column(
            [
                *([ft.Text(what, theme_style=theme.STRONG)] if what else []),
                ft.Text(how, theme_style=theme.BODY),
            ],
            spacing=2,
        )
    )


def unseen(control: ft.Control) -> ft.Control:
    """Return ``control`` with nothing to see or to hear of it but the room that it takes."""
    control.opacity = 0
    control.key = "room"
    return control


def notice(
    text: str,
    *,
    undo: Tap | None = None,
    close: Tap | None = None,
    needs_you: bool = False,
    spoken: bool = True,
    key: str = "notice",
    heading: str = "",
    below: Sequence[ft.Control] = (),
    room_of: str = "",
) -> ft.Control:
    """A message in the page. It stays until the person sends it away.

    ``heading`` stands before ``text`` in bold, and in the place of "Please check"; either may
    be "". ``below`` are buttons inside the box, to do what the message asks for.
    Spoken when it appears (a live region), unless the screen says it by itself (``spoken``
    false). ``needs_you`` gives it the accent and the word "Please check" before the text, since
    colour alone says nothing. ``room_of`` is the text of a message in whose place this one stands:
    it takes no less room, so that nothing below it moves.
    """
    ground, ink = (
        (theme.ACCENT_WASH, theme.ON_ACCENT_WASH) if needs_you else (theme.WATER, theme.ON_WATER)
    )
    icon = ft.Icons.ERROR_OUTLINE if needs_you else ft.Icons.INFO_OUTLINE
    words = message("Please check: {text}", text=text) if needs_you and not heading else text
    texts: list[ft.Control] = [
        ft.Text(said, theme_style=style, color=ink)
        for said, style in ((heading, theme.STRONG), (words, theme.BODY))
        if said
    ]
    if room_of:
        before = message("Please check: {text}", text=room_of)
        texts = [ft.Stack([unseen(ft.Text(before, theme_style=theme.BODY)), *texts])]
    rows: list[ft.Control] = [
        ft.Row(
            [
                ft.Icon(icon, color=ink, size=theme.sized(26)),
                ft.Semantics(
                    content=texts[0]
                    if len(texts) == 1
                    else ft.MergeSemantics(content=ft.Column(texts, spacing=theme.GAP)),
                    live_region=spoken,
                    container=True,
                    expand=True,
                ),
            ],
            vertical_alignment=ft.CrossAxisAlignment.START,
            spacing=theme.GAP,
        )
    ]
    actions = [
        quiet_button(label, tap, key=f"{key}:{label}")
        for label, tap in (
            (message("Undo"), undo),
            # Note: closes a message on the screen.
            (message("Close"), close),
        )
        if tap is not None
    ]
    # What the message asks for stands before sending it away.
    rows += below
    if actions:
        rows.append(
            ft.Row([ft.Container(one, expand=True) for one in actions], spacing=theme.GAP)
            if len(actions) > 1 and not theme.roomy()
            else column(actions)
        )
    return ft.Container(
        column(rows), bgcolor=ground, border_radius=theme.RADIUS, padding=16, key=key
    )
