"""The fields of a form, each described once: how it is asked, read and kept.

A `Form` that is given them draws a field (`Form.ask`), reads it (`Form.answer`) and makes the
payload of all (`Form.payload`). What a number may be is asked of the table of kinds, so that a form
never lets through what cannot be saved.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import KW_ONLY, dataclass
from datetime import date, time
from functools import partial
from typing import TYPE_CHECKING, Any

import flet as ft

from pocketpump.app.parts import choice, date_field, number_grid, stepper, text_field, time_field
from pocketpump.app.shared_texts import YES_NO
from pocketpump.core.errors import InputError
from pocketpump.core.messages import localized_number, message
from pocketpump.core.units.instants import FIRST_YEAR
from pocketpump.core.units.quantity import (
    Dimension,
    entered_number,
    format_number,
    parse_number,
    parse_quantity,
    unit_text,
)
from pocketpump.core.units.typed_dates import read_day, read_time
from pocketpump.record.entry.kinds import Field

if TYPE_CHECKING:
    from pocketpump.app.forms.form import Form


@dataclass(frozen=True, slots=True)
class FormField:
    """One answer: ``name`` in the form and in the payload, ``label`` above it, ``helper`` below.

    ``needed`` says what to write where it may not stay empty.
    """

    name: str
    label: str
    _: KW_ONLY
    helper: str = ""
    needed: str = ""

    def text(self, kept: Any) -> str:
        """Return the text with which the form begins where ``kept`` is in the payload."""
        return "" if kept is None else str(kept)

    def read(self, form: Form) -> Any:
        """Return the answer, None if empty; what is wrong is noted on ``form``."""
        return form.read(self.name, str, needed=self.needed)

    def kept(self, answer: Any) -> Any:
        """Return the answer as a payload keeps it."""
        return answer

    def draw(self, form: Form, start: Any = None, /) -> ft.Control:
        """Return the control, filled with what was typed, with what is wrong with it.

        An empty day or time is moved from ``start``.
        """
        return self.part(start)(
            label=self.label,
            value=form.text(self.name),
            on_change=form.typed(self.name),
            helper=self.helper,
            error=form.error(self.name),
        )

    def part(self, start: Any) -> Callable[..., ft.Control]:
        """Return the part of `pocketpump.app.parts` that it is drawn with."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True, kw_only=True)
class Words(FormField):
    """A typed text; ``reader`` makes more of it than what stands there."""

    lines: int = 1
    keyboard: ft.KeyboardType = ft.KeyboardType.TEXT
    reader: Callable[[str], Any] = str

    def read(self, form: Form) -> Any:
        """Return what the reader makes of the text."""
        return form.read(self.name, self.reader, needed=self.needed)

    def part(self, _start: Any) -> Callable[..., ft.Control]:
        """Return a text field."""
        return partial(text_field, lines=self.lines, keyboard=self.keyboard)


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount(FormField):
    """An amount of ``dimension``, typed or moved by ``step`` down to ``least``.

    One that was worked out begins with ``places`` decimals; ``above_zero`` is asked for here where
    the table of kinds does not.
    """

    dimension: Dimension
    step: str = "1"
    least: str = "0"
    places: int = 2
    above_zero: bool = False

    def text(self, kept: Any) -> str:
        """Return the number as it is typed."""
        return "" if kept is None else entered_number(float(kept), self.places)

    def read(self, form: Form) -> float | None:
        """Return the amount in the canonical unit."""
        return form.read(self.name, partial(self._amount, form.bounds_of(self.name)),
                         needed=self.needed)  # fmt: skip

    def _amount(self, bounds: Field, text: str) -> float:
        # The field's own unit may be left out.
        own = self.dimension
        value = parse_quantity(text, own, bare_unit=own.unit, field=self.name)
        if (self.above_zero or bounds.above == 0) and value <= 0:
            raise InputError(message("This must be more than 0: write it like {example}.",
                                     example=own.example))  # fmt: skip
        if bounds.high is not None and bounds.high < own.largest and value > bounds.high:
            raise InputError(message("This is more than {number} {unit}: look at it again.",
                                     number=localized_number(f"{bounds.high:g}"),
                                     unit=unit_text(own)))  # fmt: skip
        return value

    def part(self, _start: Any) -> Callable[..., ft.Control]:
        """Return a stepper with the unit."""
        return partial(stepper, unit=unit_text(self.dimension), step=self.step, least=self.least)


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole(FormField):
    """A whole number of ``unit``, within ``low`` and ``high`` where its kind says nothing."""

    unit: str
    low: int = 0
    high: int = 0
    least: str = "0"

    def read(self, form: Form) -> int | None:
        """Return the number."""
        bounds = form.bounds_of(self.name)
        low = self.low if bounds.low is None else int(bounds.low)
        high = self.high if bounds.high is None else int(bounds.high)

        def reader(text: str) -> int:
            value = parse_number(text, self.name)
            if value != int(value):
                raise InputError(message("Write a number without decimals, from {low} to {high}.",
                                         low=low, high=high))  # fmt: skip
            if not low <= value <= high:
                raise InputError(
                    message("Write a number from {low} to {high}.", low=low, high=high)
                )
            return int(value)

        return form.read(self.name, reader, needed=self.needed)

    def part(self, _start: Any) -> Callable[..., ft.Control]:
        """Return a stepper with the unit."""
        return partial(stepper, unit=self.unit, least=self.least)


@dataclass(frozen=True, slots=True, kw_only=True)
class Day(FormField):
    """A day."""

    first_year: int = FIRST_YEAR

    def read(self, form: Form) -> date | None:
        """Return the day."""
        return form.read(self.name, partial(read_day, first_year=self.first_year),
                         needed=self.needed)  # fmt: skip

    def kept(self, answer: Any) -> Any:
        """Return the day in ISO 8601."""
        return answer.isoformat() if isinstance(answer, date) else answer

    def part(self, start: Any) -> Callable[..., ft.Control]:
        """Return a field for a day."""
        return partial(date_field, today=start, first_year=self.first_year)


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock(FormField):
    """A time of day."""

    def read(self, form: Form) -> time | None:
        """Return the time."""
        return form.read(self.name, read_time, needed=self.needed)

    def kept(self, answer: Any) -> Any:
        """Return the time as 14:30."""
        return f"{answer:%H:%M}" if isinstance(answer, time) else answer

    def part(self, start: Any) -> Callable[..., ft.Control]:
        """Return a field for a time."""
        return partial(time_field, now=start)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice(FormField):
    """One of ``options``, (value, label) each."""

    options: Sequence[tuple[str, str]]
    in_row: bool = False

    def part(self, _start: Any) -> Callable[..., ft.Control]:
        """Return the options, the chosen one filled."""
        return partial(choice, options=self.options, in_row=self.in_row)


@dataclass(frozen=True, slots=True, kw_only=True)
class YesNo(Choice):
    """Yes or no."""

    options: Sequence[tuple[str, str]] = YES_NO
    in_row: bool = True

    def text(self, kept: Any) -> str:
        """Return the value of the option."""
        return "" if kept is None else "yes" if kept else "no"

    def kept(self, answer: Any) -> Any:
        """Return whether it is yes."""
        return None if answer is None else answer == "yes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Score(FormField):
    """A whole number from 0 to ``most``, tapped; another program may have noted 2.5."""

    most: int = 10
    columns: int = 4

    def text(self, kept: Any) -> str:
        """Return the number as the grid has it."""
        return "" if kept is None else f"{kept:g}"

    def read(self, form: Form) -> float | None:
        """Return the number."""
        return form.read(
            self.name, lambda text: int(text) if text.isdecimal() else float(text),
            needed=self.needed,
        )  # fmt: skip

    def part(self, _start: Any) -> Callable[..., ft.Control]:
        """Return a grid of the numbers."""
        return partial(number_grid, most=self.most, columns=self.columns)


@dataclass(frozen=True, slots=True, kw_only=True)
class Number(Words):
    """A number of ``unit``, typed or moved by 1 down to 0."""

    reader: Callable[[str], Any] = parse_number
    unit: str = ""

    def text(self, kept: Any) -> str:
        """Return the number as it is typed."""
        return "" if kept is None else format_number(float(kept), 4)

    def part(self, _start: Any) -> Callable[..., ft.Control]:
        """Return a stepper with the unit."""
        return partial(stepper, unit=self.unit, least="0")
