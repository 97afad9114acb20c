"""A save that was refused: where it says why, and how the person is led there."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from itertools import pairwise

import flet as ft

from pocketpump.app.parts.first_error import FirstError, first_error, keep_rooms, mark
from pocketpump.app.parts.layout import scroll_key
from pocketpump.app.parts.texts import notice
from pocketpump.app.shell.client import announce
from pocketpump.app.shell.event_handling import ControlPath, controls_to

_PAUSES = (0.0, 0.3)
"""Seconds before each try: a slow client has not built yet what it is asked to scroll to."""

_FAILED = "refused here"
"""The scroll key of what is told beside a button that could not do its own."""

Scroll = Callable[[str], Awaitable[None]]
"""Brings what has that scroll key into sight."""


class Refusal:
    """Whether a save was refused on the screen that is shown, and the first error there."""

    def __init__(self, page: ft.Page, scroll: Scroll) -> None:
        self._page = page
        self._scroll = scroll
        self._told = False
        self._again = False
        self._first: FirstError | None = None
        self._failed: tuple[ControlPath, str] | None = None
        # The fields once led to, by their keys: the scroll key of each.
        self._marks: dict[str, str] = {}
        # The fields at which something was told, by their keys: the sentence of each.
        self._rooms: dict[str, str] = {}
        self._at: str | None = None

    def begin(self) -> None:
        """Say beside the first error that nothing was saved, from the next drawing on."""
        self._again = self._told
        self._told = True
        self._at = None

    def end(self) -> None:
        """Forget it: another screen is shown."""
        self._told = False
        self._failed = None
        self._marks.clear()
        self._rooms.clear()

    def fail(self, path: ControlPath, sentence: str) -> None:
        """Tell ``sentence`` beside the button at ``path`` from the next drawing on."""
        self._failed = (path, sentence)

    def mended(self, path: ControlPath) -> None:
        """Forget what was told at ``path``: it has done its own since."""
        if self._failed is not None and self._failed[0] == path:
            self._failed = None

    def told_at_button(self, column: ft.Column) -> bool:
        """Tell beside its button what failed, in the drawn ``column``; False if it is not there."""
        if self._failed is None:
            return True
        path, sentence = self._failed
        if column.key not in path[:-1]:
            return False
        way = controls_to(column, path[path.index(str(column.key)) :]) or []
        for outer, inner in reversed(list(pairwise(way))):
            if isinstance(outer, ft.Column):
                told = ft.Container(notice(sentence, needs_you=True), key=scroll_key(_FAILED))
                at = next(n for n, one in enumerate(outer.controls) if one is inner)
                outer.controls.insert(at, told)
                return True
        return False

    def lead_to_button(self, sentence: str) -> None:
        """Go to what is told beside a button."""
        announce(self._page, sentence)
        self._page.run_task(self._go_to_button)

    async def _go_to_button(self) -> None:
        for pause in _PAUSES:
            await asyncio.sleep(pause)
            if self._failed is None:
                return
            await self._scroll(_FAILED)

    def drawn(self, column: ft.Column) -> None:
        """Take notice of the screen just drawn, before it is sent."""
        self._first = first_error(column)
        # Once all is mended, an error that comes up later is no refusal.
        self._told = self._told and self._first is not None
        if self._first is not None and self._told:
            at = str(self._first.frame.key)
            # It stays where it was first said: a sentence that grows would move what is below it.
            self._at = self._at or at
            if at == self._at:
                self._first.say_refused()
            self._marks.setdefault(at, f"error {len(self._marks)}")
        keep_rooms(column, self._rooms)
        mark(column, self._marks)

    def lead(self, sentence: str, key: str) -> None:
        """Go to the first error, or where no field has any to ``key``; let ``sentence`` be heard.

        What is new beside a field is spoken of itself; a screen that stays as it was is not.
        """
        if self._again or self._first is None:
            announce(self._page, sentence)
        self._page.run_task(self._go, key)

    async def _go(self, key: str) -> None:
        first = self._first
        place = key if first is None else self._marks.get(str(first.frame.key), key)
        for pause in _PAUSES:
            await asyncio.sleep(pause)
            if self._first is not first or not self._told:
                return
            await self._scroll(place)
        if first is not None and first.box is not None:
            await first.box.focus()  # type: ignore[no-untyped-call]
