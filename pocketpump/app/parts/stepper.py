"""Numbers without a slider: a minus, a box to type in, a plus."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.fields import Typed, field_frame, label_text, typed_box
from pocketpump.app.parts.layout import box_style, column
from pocketpump.app.parts.tap_guard import GuardedOutline, Tap
from pocketpump.core.errors import InputError
from pocketpump.core.messages import joined, message
from pocketpump.core.units.quantity import format_number, parse_number


def stepped(text: str, step: Decimal, *, least: Decimal | None = None) -> str:
    """The text after one step up (or, with a negative step, down), not under ``least``.

    An empty box steps to the least value, or zero. What cannot be read as a plain number
    ("2 mg/mL", "1,000") stays as it is: a tap must not put another number in its place.
    """
    if not text.strip():
        then = least or Decimal(0)
    else:
        try:
            then = Decimal(str(parse_number(text))) + step
        except InputError:
            return text
    if least is not None:
        then = max(then, least)
    return format_number(float(then), 6)


def step_button(icon: ft.IconData, name: str, on_tap: Tap, *, key: str) -> ft.Control:
    """A square button with a sign on it and a spoken name."""
    return GuardedOutline(
        content=ft.Icon(icon, size=theme.sized(28), color=theme.DEEP, semantics_label=name),
        style=box_style(0),
        width=theme.BIG_TARGET,
        height=theme.BIG_TARGET,
        on_click=on_tap,
        key=key,
    )


def between_buttons(
    box: ft.Control, *, now: str, less: tuple[str, Tap], more: tuple[str, Tap]
) -> ft.Control:
    """A box with a minus at its left and a plus at its right, each (name, what it does).

    The browser's tree of names leaves out what stands in a box that is not being edited,
    so the buttons' names end with it: a screen reader then says the value after a step.
    """

    def name(button: str) -> str:
        # Note: spoken, like "Less: Alarm volume, now 2 mL".
        return message("{button}, now {value}", button=button, value=now) if now else button

    fewer = step_button(ft.Icons.REMOVE, name(less[0]), less[1], key="less")
    greater = step_button(ft.Icons.ADD, name(more[0]), more[1], key="more")
    if theme.roomy():
        # Beside two buttons a whole date in the largest letters would be cut off.
        steps = ft.Row([fewer, greater], alignment=ft.MainAxisAlignment.SPACE_BETWEEN, key="steps")
        return column([ft.Container(box, key="box"), steps])
    return ft.Row([fewer, ft.Container(box, expand=True, key="box"), greater], spacing=theme.GAP)


def named_box(name: str, box: ft.Control) -> ft.Control:
    """A box whose visible label stands elsewhere, with a name for screen readers."""
    return ft.MergeSemantics(
        content=column([ft.Semantics(label=name, content=ft.Container(height=0)), box], 0)
    )


def _spoken(value: str, unit: str) -> str:
    """Return the value with its unit; a typed text brings its own, or cannot be read."""
    try:
        parse_number(value)
    except InputError:
        return value
    return message("{number} {unit}", number=value, unit=unit) if unit else value


def stepper(
    label: str,
    value: str,
    on_change: Typed,
    *,
    unit: str = "",
    step: str = "1",
    least: str | None = None,
    helper: str = "",
    error: str = "",
) -> ft.Control:
    """A number: typed, or moved by one step at a time.

    The value is the text in the box, so that a half-typed number is never changed under
    the person's fingers; numbers are strings here to stay exact (``step="0.1"``).
    """
    low = None if least is None else Decimal(least)
    box = typed_box(
        value,
        on_change,
        wrong=bool(error),
        keyboard=ft.KeyboardType.NUMBER,
        align=ft.TextAlign.CENTER,
    )

    def move(by: Decimal) -> Any:
        # The box, not ``value``: letters may have arrived since this screen was drawn.
        return on_change(stepped(box.value, by, least=low))

    title: list[ft.Control] = [label_text(label)]
    if unit:
        title.append(ft.Text(unit, theme_style=theme.BODY, color=theme.SOFT_INK))
    pieces: list[ft.Control] = [
        ft.Semantics(
            exclude_semantics=True, content=ft.Row(title, wrap=True, spacing=8, run_spacing=0)
        ),
        between_buttons(
            named_box(joined(", ", (label, unit)) if unit else label, box),
            now=_spoken(value, unit),
            less=(message("Less: {field}", field=label), lambda: move(-Decimal(step))),
            more=(message("More: {field}", field=label), lambda: move(Decimal(step))),
        ),
    ]
    return field_frame(pieces, helper=helper, error=error, key=f"field:{label}")
