"""What was said last, at the top of the screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import flet as ft

from pocketpump.app.parts.tap_guard import Tap
from pocketpump.app.parts.texts import notice


@dataclass(frozen=True)
class _Said:
    text: str
    undo: Tap | None
    needs_you: bool


class LastSaid:
    """One message; it stays till it is closed, replaced, or two steps behind."""

    def __init__(self, refresh: Callable[[], None]) -> None:
        self._refresh = refresh
        self._said: _Said | None = None
        self._is_here = False
        self._from: str | None = None

    def say(self, text: str, undo: Tap | None, needs_you: bool) -> None:
        """Put the message in the place of the one before."""
        self._said = _Said(text, undo, needs_you)
        self._is_here = True

    def end(self) -> None:
        """Take the message away."""
        self._said = None

    def moved(self, before: str, route: str) -> None:
        """Go along from the route ``before`` to ``route``, or stay behind."""
        # A save often leads elsewhere at once, so what was said goes along for one step, and
        # for one back, where its Undo is looked for; two steps on it would be out of place.
        if not self._is_here and route != self._from:
            self._said = None
        self._from = before if self._is_here else None
        self._is_here = False

    def drawn(self, close: Callable[[], None]) -> ft.Control | None:
        """Draw the message with what takes it away, ``close``; None where nothing is said."""
        said = self._said
        if said is None:
            return None

        def undone() -> Any:
            done = said.undo() if said.undo else None
            if self._said is said:
                self._said = None
                self._refresh()
            return done

        undo = undone if said.undo else None
        return notice(said.text, undo=undo, close=close, needs_you=said.needs_you)
