"""Buttons for hands that jerk or hold: a quick second tap does nothing, a long press counts as one.

Every button of the app is one of the kinds below, or dials (:mod:`.calls`).
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import flet as ft

from pocketpump.app.parts.control_tree import everything

QUIET_SECONDS = 0.5


class TapGuard:
    """Says whether a tap on one button counts.

    A tap within :data:`QUIET_SECONDS` of the one before on the same button does not,
    nor does one so soon after the button appeared or was moved: a jerk may follow the tap
    that opened a screen, and it must not press whatever came up under the finger.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self.wait()

    def wait(self) -> None:
        """Let no tap count for a while from now on."""
        self._quiet_until = self._clock() + QUIET_SECONDS

    def counts(self) -> bool:
        """Whether a tap at this instant counts; an ignored tap starts no new wait."""
        now = self._clock()
        if now < self._quiet_until:
            return False
        self._quiet_until = now + QUIET_SECONDS
        return True


class _Guarded(ft.BaseControl):
    """Keeps one guard for the life of the button on the screen.

    A re-render makes a new Python object for the same button, so the guard moves over
    with the rest of what flet calls the control's state.

    Flet's buttons listen for a long press in the client, heard or not, and that takes the tap
    away from a finger that rests for half a second. So a long press does what a tap does.
    """

    def init(self) -> None:
        """Start the guard when the button is made."""
        super().init()  # type: ignore[no-untyped-call]
        self._guard = TapGuard()
        self.on_long_press = self.on_click  # type: ignore[attr-defined]  # every button has both

    def before_event(self, e: ft.ControlEvent) -> bool:
        """Let a press, short or long, through only if it counts."""
        return e.name not in ("click", "long_press") or self._guard.counts()

    def _migrate_state(self, other: ft.BaseControl) -> None:
        super()._migrate_state(other)
        if isinstance(other, _Guarded):
            self._guard = other._guard


class GuardedButton(_Guarded, ft.FilledButton):
    """A filled button behind a :class:`TapGuard`."""


class GuardedOutline(_Guarded, ft.OutlinedButton):
    """An outlined button behind a :class:`TapGuard`."""


class GuardedText(_Guarded, ft.TextButton):
    """A button without a frame behind a :class:`TapGuard`."""


def wait_anew(control: ft.BaseControl) -> None:
    """Let no button in ``control`` count a tap for a while: what lies under a finger has moved."""
    for one in everything(control):
        if isinstance(one, _Guarded):
            one._guard.wait()


Tap = Callable[[], Any]
"""What a button does; it may be a coroutine function."""
