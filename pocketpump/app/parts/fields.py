"""Typed text: one field with its name above it and its error, in words, below it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.layout import box_style, column
from pocketpump.app.parts.tap_guard import GuardedOutline
from pocketpump.core.messages import message

Typed = Callable[[str], Any]
"""What happens with the text after each change."""

ERROR = "error"
"""The key of what is told to be wrong beside a field."""


class SteadyField(ft.TextField):
    """A text field that keeps what is being typed when the screen is drawn again.

    The text on the screen may be ahead of the text the screen was drawn from: letters
    arrive while Python works. So a re-render keeps the live text if the screen asks for
    what it asked for before, or for a text it has been told of since. Any other text it
    has set itself, and that one is shown.
    """

    def init(self) -> None:
        """Remember the text this field was made with."""
        super().init()  # type: ignore[no-untyped-call]
        self._asked = self.value
        self._told: list[str] = []
        self.caret_to_end = False

    def asked_for(self, text: str) -> None:
        """Take ``text`` as what the screen asked for: it says it in another language."""
        self._asked = text

    def before_event(self, e: ft.ControlEvent) -> bool:
        """Remember every text the screen is about to be told."""
        if e.name == "change":
            self._told.append(self.value)
        return True

    def _migrate_state(self, other: ft.BaseControl) -> None:
        super()._migrate_state(other)
        if not isinstance(other, SteadyField):
            return
        self._keep_text(other)
        if self.caret_to_end:
            end = len(self.value)
            self.selection = ft.TextSelection(base_offset=end, extent_offset=end)
        elif other.caret_to_end:
            # Asked for once: the client has moved it, and it goes on from there.
            self.selection = None

    def _keep_text(self, other: SteadyField) -> None:
        if self.value in other._told:
            newer = len(other._told) - other._told[::-1].index(self.value)
            self._told = other._told[newer:]
        elif other._told or self.value != other._asked:
            return
        self.value = other.value
        self.selection = other.selection


def typed_box(
    value: str,
    on_change: Typed,
    *,
    wrong: bool = False,
    keyboard: ft.KeyboardType = ft.KeyboardType.TEXT,
    align: ft.TextAlign = ft.TextAlign.START,
    lines: int = 1,
    password: bool = False,
) -> SteadyField:
    """The bare box, for parts that bring their own label."""

    def border(colour: ft.ColorValue, width: float) -> ft.OutlineInputBorder:
        return ft.OutlineInputBorder(side=ft.BorderSide(width, colour), border_radius=theme.RADIUS)

    return SteadyField(
        value=value,
        on_change=lambda e: on_change(e.control.value),
        border={
            ft.ControlState.DEFAULT: border(theme.ACCENT, 2.5) if wrong else border(theme.LINE, 2),
            ft.ControlState.FOCUSED: border(theme.DEEP, 3),
        },
        bgcolor=theme.SHELL,
        content_padding=ft.Padding.symmetric(vertical=19, horizontal=16),
        keyboard_type=keyboard,
        text_align=align,
        multiline=lines > 1,
        min_lines=lines if lines > 1 else None,
        max_lines=max(lines, 8) if lines > 1 else None,
        password=password,
    )


def label_text(label: str) -> ft.Control:
    """The name of a field, above it."""
    return ft.Text(label, theme_style=theme.STRONG)


def helper_text(text: str) -> ft.Control:
    """What to write in a field, under it."""
    return ft.Text(text, theme_style=theme.SMALL, color=theme.SOFT_INK)


def error_text(sentence: str) -> ft.Control:
    """What is wrong with a field and how to mend it; spoken when it appears."""
    return ft.Row(
        [
            ft.Icon(ft.Icons.ERROR_OUTLINE, color=theme.ACCENT, size=theme.sized(24)),
            ft.Semantics(
                content=ft.Text(sentence, theme_style=theme.BODY, color=theme.ACCENT),
                live_region=True,
                container=True,
                expand=True,
            ),
        ],
        spacing=8,
        vertical_alignment=ft.CrossAxisAlignment.START,
        key=ERROR,
    )


def field_frame(
    controls: list[ft.Control],
    *,
    helper: str = "",
    error: str = "",
    key: str | None,
    spacing: float = 6,
) -> ft.Control:
    """A field's pieces in a column, the helper under them, the error sentence last."""
    if helper:
        controls = [*controls, helper_text(helper)]
    if error:
        controls = [*controls, error_text(error)]
    return column(controls, spacing, key=key)


def silent_label(label: str) -> ft.Control:
    """The name above what brings its own to a screen reader."""
    return ft.Semantics(exclude_semantics=True, content=label_text(label))


def named_group(label: str, group: ft.Control) -> ft.Control:
    """What belongs together under one name, which a screen reader says."""
    return ft.Semantics(label=label, container=True, content=group)


def text_field(
    label: str,
    value: str,
    on_change: Typed,
    *,
    helper: str = "",
    error: str = "",
    lines: int = 1,
    keyboard: ft.KeyboardType = ft.KeyboardType.TEXT,
) -> ft.Control:
    """A typed answer. Label, box and helper read as one to a screen reader."""
    box = typed_box(value, on_change, wrong=bool(error), keyboard=keyboard, lines=lines)
    return field_frame([_named(label, box, helper)], error=error, key=f"field:{label}")


def secret_field(
    label: str,
    value: str,
    on_change: Typed,
    *,
    shown: bool,
    on_look: Callable[[], None],
    on_enter: Callable[[], None],
    at_end: bool = False,
    helper: str = "",
    error: str = "",
    key: str = "",
) -> ft.Control:
    """A typed secret with a button that shows or hides it: ``on_look`` turns ``shown`` and redraws.

    ``on_enter`` is called when the caret comes into the box; with ``at_end`` it is put behind the
    last letter. A box must not turn itself: flet refuses to change what it has drawn a
    second time.
    """
    box = typed_box(value, on_change, wrong=bool(error), password=not shown)
    box.on_focus = on_enter
    box.caret_to_end = at_end
    pieces = [_named(label, box, helper), _look(label, on_look, shown=shown)]
    return field_frame(pieces, error=error, key=key or f"field:{label}", spacing=theme.GAP)


def _named(label: str, box: SteadyField, helper: str) -> ft.Control:
    named: list[ft.Control] = [label_text(label), box]
    if helper:
        named.append(helper_text(helper))
    return ft.MergeSemantics(content=column(named, 6))


def _look(label: str, on_look: Callable[[], None], *, shown: bool) -> ft.Control:
    """Return the button that shows a secret. Flet's own eye, in the box, loses long presses."""
    if shown:
        icon, does = ft.Icons.VISIBILITY_OFF_OUTLINED, message("Hide")
        spoken = message("Hide: {field}", field=label)
    else:
        icon, does = ft.Icons.VISIBILITY_OUTLINED, message("Show")
        spoken = message("Show: {field}", field=label)
    content = ft.Row(
        [
            ft.Icon(icon, size=theme.sized(28), color=theme.DEEP),
            ft.Text(does, theme_style=theme.BUTTON, color=theme.DEEP, semantics_label=spoken),
        ],
        tight=True,
        spacing=8,
    )
    button = GuardedOutline(
        content=content,
        style=box_style(ft.Padding.symmetric(horizontal=16, vertical=16)),
        on_click=on_look,
        key="look",
    )
    return ft.Row([button], alignment=ft.MainAxisAlignment.END)
