"""Typed secrets: which of them are shown, and which box the caret is given back to."""

import asyncio
from collections.abc import Callable

import flet as ft

from pocketpump.app.parts.control_tree import everything
from pocketpump.app.parts.fields import SteadyField, secret_field

_DRAWN_S = 0.2
"""Seconds for the client to draw what it was sent: of two changes at once it takes the last."""


class Secrets:
    """The secrets of the screen that ``page`` shows; ``column`` is what it is drawn in."""

    def __init__(
        self, page: ft.Page, column: Callable[[], ft.Column], refresh: Callable[[], None]
    ) -> None:
        self._page = page
        self._column = column
        self._refresh = refresh
        self.leave()

    def leave(self) -> None:
        """Hide all of them: another screen is shown."""
        self._shown: set[str] = set()
        self._entered = ""
        self._ending = ""
        self._at_end = False

    def field(
        self,
        label: str,
        value: str,
        on_change: Callable[[str], None],
        *,
        helper: str = "",
        error: str = "",
        key: str = "",
    ) -> ft.Control:
        """Draw a typed secret: hidden until its eye is tapped, and again once the screen is left.

        The eye gives the caret back to the box that had it last. Another ``key`` makes it another
        box, in which nothing of the one before is left.
        """
        key = key or f"field:{label}"

        def entered() -> None:
            self._entered = key

        def changed(words: str) -> None:
            # The caret goes on with the letters.
            self._ending = ""
            on_change(words)

        def look() -> None:
            self._shown ^= {key}
            # Who only looks, on a phone, gets no keyboard over it.
            if self._entered == key:
                self._page.run_task(self._enter, key)
            self._refresh()

        return secret_field(
            label,
            value,
            changed,
            shown=key in self._shown,
            on_look=look,
            on_enter=entered,
            at_end=self._at_end and key == self._ending,
            helper=helper,
            error=error,
            key=key,
        )

    async def _enter(self, key: str) -> None:
        """Put the caret into the box ``key``, at the end of what is written, if it is still there.

        A browser chooses all of a box that is entered by itself: the next letter would take the
        place of the passphrase. It may do so some time after it was told to enter, so the caret is
        put there twice.
        """
        fields = [one for one in everything(self._column()) if one.key == key]
        boxes = [one for one in fields for one in everything(one) if isinstance(one, SteadyField)]
        for box in boxes:
            await box.focus()  # type: ignore[no-untyped-call]
        self._ending = key
        for ending in (True, False, True, False):
            if self._ending != key:
                return
            self._at_end = ending
            self._refresh()
            await asyncio.sleep(_DRAWN_S)
        self._ending = ""
