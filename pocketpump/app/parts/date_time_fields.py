"""Fields for a day and for a time: typed, or moved step by step; said back in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, time
from typing import Any

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.fields import SteadyField, Typed, field_frame, silent_label, typed_box
from pocketpump.app.parts.stepper import between_buttons, named_box
from pocketpump.core.errors import InputError
from pocketpump.core.messages import message, plural_message
from pocketpump.core.units.instants import FIRST_YEAR, date_text
from pocketpump.core.units.typed_dates import (
    DAY_HINT,
    TIME_HINT,
    read_day,
    read_time,
    step_day,
    step_time,
)

_STEP_MIN = 15


def date_field(
    label: str,
    value: str,
    on_change: Typed,
    *,
    today: date,
    first_year: int = FIRST_YEAR,
    helper: str = "",
    error: str = "",
) -> ft.Control:
    """A day. ``value`` is the text typed; :func:`read_day` makes a date of it.

    The day understood is shown under the box with its weekday, so a swapped day and
    month is seen at once. ``today`` is where stepping starts in an empty box.
    """

    def move(box: SteadyField, by: int) -> Any:
        return on_change(step_day(box.value, by, fallback=today, first_year=first_year))

    return _moment(
        label,
        value,
        on_change,
        say=lambda text: date_text(read_day(text, first_year)),
        hint=DAY_HINT,
        less=(message("One day earlier"), lambda box: move(box, -1)),
        more=(message("One day later"), lambda box: move(box, 1)),
        helper=helper,
        error=error,
    )


def time_field(
    label: str, value: str, on_change: Typed, *, now: time, helper: str = "", error: str = ""
) -> ft.Control:
    """A time of day. ``value`` is the text typed; :func:`read_time` makes a time of it."""

    def move(box: SteadyField, by: int) -> Any:
        return on_change(step_time(box.value, by, fallback=now))

    return _moment(
        label,
        value,
        on_change,
        say=lambda text: read_time(text).strftime("%H:%M"),
        hint=TIME_HINT,
        less=(
            plural_message("{count} minute earlier", "{count} minutes earlier", _STEP_MIN),
            lambda box: move(box, -_STEP_MIN),
        ),
        more=(
            plural_message("{count} minute later", "{count} minutes later", _STEP_MIN),
            lambda box: move(box, _STEP_MIN),
        ),
        helper=helper,
        error=error,
    )


def _moment(
    label: str,
    value: str,
    on_change: Typed,
    *,
    say: Callable[[str], str],
    hint: str,
    less: tuple[str, Callable[[SteadyField], Any]],
    more: tuple[str, Callable[[SteadyField], Any]],
    helper: str,
    error: str,
) -> ft.Control:
    box = typed_box(value, on_change, wrong=bool(error), align=ft.TextAlign.CENTER)
    try:
        now = said = say(value)
    except InputError:
        # How to write it, never a reproach while typing.
        now, said = value, hint
    pieces: list[ft.Control] = [
        silent_label(label),
        between_buttons(
            named_box(label, box),
            now=now,
            less=(message("{step}: {field}", step=less[0], field=label), lambda: less[1](box)),
            more=(message("{step}: {field}", step=more[0], field=label), lambda: more[1](box)),
        ),
    ]
    if said != value.strip():
        pieces.append(
            ft.Text(said, theme_style=theme.BODY, text_align=ft.TextAlign.CENTER, key="said")
        )
    return field_frame(pieces, helper=helper, error=error, key=f"field:{label}")
