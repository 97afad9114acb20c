"""Typed text on its way to values: one form, its fields, and what is wrong with them.

A form keeps text, never numbers, so that a half-typed answer is not changed under the
person's fingers. What is wrong is said beside a field only after the first try to save,
and from then on as it is typed.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any, TypeVar

import flet as ft

from pocketpump.app.draft_keeping import STATE, Keep
from pocketpump.app.forms.fields import FormField
from pocketpump.app.look import theme
from pocketpump.app.parts import big_button, check_boxes, notice, scroll_key
from pocketpump.app.parts.fields import field_frame
from pocketpump.app.shell.event_handling import sentence_of
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import InputError, PocketPumpError
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.units.instants import attach_zone, to_seconds
from pocketpump.core.units.typed_dates import read_day, read_time
from pocketpump.record import KINDS
from pocketpump.record.entry.kinds import Field

Value = TypeVar("Value")


class Form:
    """The form ``name`` of one tab; ``defaults`` is what it begins with.

    ``fields`` are described in `pocketpump.app.forms.fields`; their defaults are as an entry of
    ``kind`` keeps them, those of other fields are texts.

    With ``keep`` everything typed is kept at once, so that a closed browser in the waiting
    room costs nothing; the fields named by ``pinned`` (day and time) then stay as they were
    at the first letter, so that what is saved days later is of the day it was typed.
    """

    def __init__(
        self,
        app: App[Any],
        name: str,
        defaults: Mapping[str, Any],
        *,
        fields: Iterable[FormField] = (),
        kind: str = "",
        keep: Keep | None = None,
        pinned: Sequence[str] = (),
    ) -> None:
        self._app = app
        self._keep = keep
        self._draft = app.form_draft(name)
        if keep is not None and not self._draft:
            self._draft.update({f: v for f, v in keep.load().items() if f not in STATE})
        self._fields = {field.name: field for field in fields}
        self._kind = kind
        begins = {n: one.text(defaults.get(n)) for n, one in self._fields.items()}
        self._defaults = {**defaults, **begins}
        self._pinned = pinned
        self._moments: list[tuple[str, str]] = []
        self._errors: dict[str, str] = {}
        self._beside: set[str] = set()
        self._answers: dict[str, Any] = {}

    def text(self, field: str) -> str:
        """What stands in ``field``."""
        return str(self.value(field) or "")

    def value(self, field: str) -> Any:
        """What is kept under ``field`` when it is not plain text (a list of rows, a choice)."""
        # Untouched fields follow their defaults: a form left open overnight shows today.
        return self._draft.get(field, self._defaults.get(field))

    def pin(self, field: str, value: Any = None) -> None:
        """Let ``field`` keep ``value`` (None: its default), because another answer refers to it."""
        self._draft.setdefault(field, self._defaults.get(field) if value is None else value)

    def put(self, field: str, value: Any) -> None:
        """Take in a new value and draw the screen again."""
        self._take(field, value)
        self._app.refresh()

    def _take(self, field: str, value: Any) -> None:
        for one in self._pinned:
            self.pin(one)
        for moment in self._moments:
            if field in moment:
                # A time typed is one of the day that was shown beside it.
                for one in moment:
                    self.pin(one)
        self._draft[field] = value
        if self._keep is not None:
            self._keep.later({f: v for f, v in self._draft.items() if f not in STATE})

    def typed(self, field: str) -> Callable[[Any], None]:
        """What a control calls with every new text."""
        return lambda text: self.put(field, text)

    def error(self, field: str) -> str:
        """What to say beside ``field``; "" before the first try to save."""
        self._beside.add(field)
        return self._errors.get(field, "") if self.value("tried") else ""

    def fail(self, field: str, sentence: str) -> None:
        """Note what is wrong with ``field``; the first error of a field is the one told."""
        self._errors.setdefault(field, sentence)

    def beside(self, field: str, controls: list[ft.Control]) -> list[ft.Control]:
        """Return ``controls``, which together are the one answer ``field``, with its error."""
        if not controls:
            return []
        error = self.error(field)
        return [field_frame(controls, error=error, key=f"answer:{field}", spacing=theme.SPACE)]

    def answer(self, field: str) -> Any:
        """Return what the declared ``field`` holds, None if empty; read once for each drawing."""
        if field not in self._answers:
            self._answers[field] = self._fields[field].read(self)
        return self._answers[field]

    def payload(self, *only: str) -> dict[str, Any]:
        """Return the declared fields (all, or ``only`` some) as an entry keeps them, if filled."""
        kept = {name: self._fields[name].kept(self.answer(name)) for name in only or self._fields}
        return {name: value for name, value in kept.items() if value is not None}

    def ask(self, field: str, start: Any = None, **other: Any) -> ft.Control:
        """Draw the declared ``field``, an empty day or time moved from ``start``.

        ``other`` are its words where they are not those declared.
        """
        self.answer(field)
        return replace(self._fields[field], **other).draw(self, start)

    def bounds_of(self, field: str) -> Field:
        """Return what the table of kinds allows in ``field``."""
        known = (one for one in KINDS.get(self._kind, ()) if one.name == field)
        return next(known, Field(field))

    def read(self, field: str, reader: Callable[[str], Value], *, needed: str = "") -> Value | None:
        """Return what ``reader`` makes of the text; None, with the error noted, if nothing.

        An empty field is None without an error, unless ``needed`` says what to write there.
        """
        text = self.text(field).strip()
        if not text:
            if needed:
                self.fail(field, needed)
            return None
        try:
            return reader(text)
        except InputError as error:
            self.fail(field, str(error))
            return None

    def day_after(self, field: str, earlier: date | None, event: str) -> date | None:
        """Return a day, which must be after ``earlier`` (None: not known), the day of ``event``."""
        day: date | None = self.answer(field)
        if day is not None and earlier is not None and day <= earlier:
            # Note: {event} is "the refill" or "the change".
            late = message(
                "This is not after {event}: look at the day and the year again.", event=event
            )
            self.fail(field, late)
        return day

    def instant(
        self, day_field: str, time_field: str, *, latest: datetime, may_come: bool = False
    ) -> datetime | None:
        """Return the instant two fields name, in the zone of ``latest``; not after it.

        With ``may_come`` it may be still to come. While neither is touched both follow their
        defaults, as a rule the clock at the tap on Save; one that is typed holds the other.
        """
        self._moments.append((day_field, time_field))
        day = self.read(day_field, read_day, needed=message("Write the day, like 26 Feb 2026."))
        clock = self.read(time_field, read_time, needed=message("Write the time, like 14:30."))
        if day is None or clock is None or latest.tzinfo is None:
            return None
        try:
            at = attach_zone(datetime.combine(day, clock), latest.tzinfo)
        except InputError as error:
            self.fail(time_field, str(error))
            return None
        if not may_come and to_seconds(at) > to_seconds(latest):
            self.fail(day_field, message("This is still to come: write a day up to today."))
        return at

    def save_button(
        self, label: str, action: Callable[[], None], *, ask: str = ""
    ) -> list[ft.Control]:
        """Return the save button; tapped, it does ``action``, or leads to what is wrong.

        It acts on the form as it is at the tap, not as it was drawn: the clock goes on. That there
        is an error is told above the button, what it is beside the field, and the field is moved
        to. Draw all fields first: what none of them tells is told here. With ``ask`` it
        saves nothing yet but shows that sentence and a tick; ticked, it saves. Two
        presses on one spot, which a hand that jerks may make, are then never enough.
        A form may have two save buttons; their labels differ.
        """
        place = f"tried:{label}"

        def tapped() -> None:
            self._draft.pop("failed", None)
            self._draft["asked"] = "" if self._errors else ask
            self._draft["tried"] = True
            if self._errors:
                refuse(next(iter(self._errors.values())))
            elif ask and self._draft.get("sure") != ask:
                self._app.refresh()
                self._app.reveal(place)
            else:
                finish()

        def finish() -> None:
            try:
                action()
            except (PocketPumpError, OSError) as error:
                # A full disk or the record's own last check: what was typed stays.
                self._draft["failed"] = sentence_of(error)
                refuse(self._draft["failed"])

        def refuse(reason: str) -> None:
            self._draft["told"] = self._refusal(self._told_errors())
            self._app.refuse(self._refusal(reason), place)

        self._app.offer_save(place, tapped)
        button = big_button(label, lambda: self._app.save(place), icon=ft.Icons.CHECK)
        asked = bool(ask) and not self._errors and self._draft.get("asked") == ask
        reason = self._told_errors() or (ask if asked else "")
        key = scroll_key(place)
        if not reason:
            before = self._draft.get("told", "")
            if not before:
                return [button]
            # The room stays, or the button would move up under a finger.
            mended = notice(message("It can be saved now."), room_of=before)
            return [ft.Container(mended, key=key), button]
        # What is refused is announced, and beside its field it is told to a screen reader again.
        told = notice(self._refusal(reason), needs_you=True, spoken=asked)
        if not asked:
            return [ft.Container(told, key=key), button]
        ticked = ["sure"] if self._draft.get("sure") == ask else []

        def toggle(_sure: str) -> None:
            self._draft["sure"] = "" if ticked else ask
            self._app.refresh()

        sure = check_boxes(
            message("Looked at again?"), [("sure", message("It is right"))], ticked, toggle
        )
        return [ft.Container(told, key=key), sure, button]

    @staticmethod
    def _refusal(reason: str) -> str:
        return joined(" ", (message("Nothing was saved yet."), reason))

    def _told_errors(self) -> str:
        if self._draft.get("failed"):
            return str(self._draft["failed"])
        if not self._draft.get("tried") or not self._errors:
            return ""
        untold = [told for field, told in self._errors.items() if field not in self._beside]
        if untold:
            return joined(" ", tuple(dict.fromkeys(untold)))
        return plural_message(
            "See the marked answer.", "See the {count} marked answers.", len(self._errors)
        )

    def clear(self) -> None:
        """Forget what was typed."""
        self._draft.clear()
        if self._keep is not None:
            self._keep.forget()
