"""Where on a drawn screen the first error is, so that the person is led there."""

from __future__ import annotations

from collections.abc import Mapping, MutableMapping
from dataclasses import dataclass

import flet as ft

from pocketpump.app.parts.control_tree import everything, inside
from pocketpump.app.parts.fields import ERROR, SteadyField, error_text
from pocketpump.app.parts.layout import scroll_key
from pocketpump.app.parts.texts import unseen
from pocketpump.core.messages import joined, message


@dataclass(frozen=True)
class FirstError:
    """The first field of a drawn screen beside which something is told to be wrong."""

    frame: ft.Column

    def say_refused(self) -> None:
        """Say there that nothing was saved."""
        told = _sentence(self.frame)
        told.value = joined(" ", (message("Nothing was saved yet."), told.value))

    @property
    def box(self) -> SteadyField | None:
        """The box to type in, if the field has one."""
        return next((one for one in everything(self.frame) if isinstance(one, SteadyField)), None)


def first_error(screen: ft.BaseControl) -> FirstError | None:
    """Find the first error told beside a field, from the top of the drawn ``screen``."""
    for one in everything(screen):
        if isinstance(one, ft.Column) and one.controls and one.controls[-1].key == ERROR:
            return FirstError(one)
    return None


def mark(screen: ft.BaseControl, marks: Mapping[str, str]) -> None:
    """Let the fields of the drawn ``screen`` whose keys are in ``marks`` be scrolled to by that.

    The scroll key goes to the first thing in the field. It must be given at every drawing from
    the first on: whatever gets another key takes the caret from the box beside it.
    """
    left = dict(marks)
    for one in everything(screen):
        # A scroll key of the screen's own can be nobody's name.
        value = left.pop(one.key, None) if isinstance(one.key, str) else None
        if value is not None:
            first = one
            while inner := list(inside(first)):
                first = inner[0]
            first.key = scroll_key(value)


def keep_rooms(screen: ft.BaseControl, rooms: MutableMapping[str, str]) -> None:
    """Let a field whose error is mended keep the room in which it was told.

    What stands below would else move up under a finger that is on its way to it. ``rooms`` are
    the sentences told so far, by the keys of their fields; those of ``screen`` are added.
    """
    for one in everything(screen):
        if not isinstance(one, ft.Column) or not isinstance(one.key, str):
            continue
        if one.controls and one.controls[-1].key == ERROR:
            rooms[one.key] = _sentence(one).value
        elif one.key in rooms:
            one.controls = [*one.controls, unseen(error_text(rooms[one.key]))]


def _sentence(frame: ft.Column) -> ft.Text:
    return next(one for one in everything(frame.controls[-1]) if isinstance(one, ft.Text))
