"""When a screen is drawn: within a tap once, at its end; soon, when another tab has saved."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import flet as ft

from pocketpump.app.shell.client import is_connected


class Drawing:
    """Calls ``draw`` for the tab ``page``, as seldom as may be."""

    def __init__(self, page: ft.Page, draw: Callable[[], bool]) -> None:
        self._page = page
        self._draw = draw
        self._running = 0
        self._is_stale = False
        self.is_leaving = False
        """Whether another screen is on its way: what is left need not be drawn again."""

    def now(self) -> bool:
        """Draw at once; return what ``draw`` returns."""
        self._is_stale = False
        return self._draw()

    def refresh(self) -> None:
        """Draw; within a tap once, at its end."""
        if self._running:
            self._is_stale = True
        else:
            self.now()

    @contextmanager
    def held(self) -> Iterator[None]:
        """Draw nothing within, whatever asks for it."""
        self._running += 1
        self.is_leaving = False
        try:
            yield
        finally:
            self._running -= 1

    def catch_up(self) -> None:
        """Draw if it was asked for meanwhile."""
        if self._is_stale and not self._running and not self.is_leaving:
            self.now()

    def soon(self) -> None:
        """Draw soon, because another tab has changed the record; never raises.

        A tab without a client (closed, or asleep) is drawn when the client is back.
        """
        if not self._running:
            self._is_stale = True
            try:
                if is_connected(self._page):
                    self._page.run_task(self.later)
            except Exception:
                # The save of the other tab is done and must be told as done.
                traceback.print_exc()

    async def later(self) -> None:
        """Draw what was to be drawn soon."""
        self.connected()

    def connected(self, _event: Any = None) -> None:
        """Draw what was to be drawn while there was no client."""
        if self._is_stale:
            self.now()
