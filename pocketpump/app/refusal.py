"""A save that was refused: where it says why, and how the person is led there."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable

import flet as ft

from pocketpump.app.client import announce
from pocketpump.app.parts.trouble import Trouble, first_trouble, mark

_PAUSES = (0.0, 0.3)
"""Seconds before each try: a slow client has not built yet what it is asked to scroll to."""

Scroll = Callable[[str], Awaitable[None]]
"""Brings what has that scroll key into sight."""


class Refusal:
    """Whether a save was refused on the screen that is shown, and the first trouble there."""

    def __init__(self, page: ft.Page, scroll: Scroll) -> None:
        self._page = page
        self._scroll = scroll
        self._told = False
        self._again = False
        self._first: Trouble | None = None
        # The fields once led to, by their keys: the scroll key of each.
        self._marks: dict[str, str] = {}

    def begin(self) -> None:
        """Say beside the first trouble that nothing was saved, from the next drawing on."""
        self._again = self._told
        self._told = True

    def end(self) -> None:
        """Forget it: another screen is shown."""
        self._told = False
        self._marks.clear()

    def drawn(self, column: ft.Column) -> None:
        """Take notice of the screen just drawn, before it is sent."""
        self._first = first_trouble(column)
        # Once all is mended, a trouble that comes up later is no refusal.
        self._told = self._told and self._first is not None
        if self._first is not None and self._told:
            self._first.say_refused()
            self._marks.setdefault(str(self._first.frame.key), f"trouble {len(self._marks)}")
        mark(column, self._marks)

    def lead(self, sentence: str, key: str) -> None:
        """Go to the first trouble, or where no field has any to ``key``; let ``sentence`` be heard.

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
