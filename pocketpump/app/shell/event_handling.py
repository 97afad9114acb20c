"""Every tap and every typed letter of a drawn screen goes through one place.

There what a screen could not do (a full disk, a record that refuses) is told instead of ending
the tab, and the screen is drawn once, however often the doing asked for it.
"""

from __future__ import annotations

import inspect
import traceback
from collections.abc import Callable
from functools import wraps
from typing import Any, Protocol

import flet as ft

from pocketpump.app.parts.control_tree import given, inside
from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message

ControlPath = tuple[str, ...]
"""Where a control stands on a screen: the keys on the way to it, its own last."""


class Runner(Protocol):
    """What the handlers of a screen are run by."""

    def run(self, path: ControlPath, act: Callable[[], Any]) -> Any:
        """Do ``act``, which belongs to the control at ``path``; never raises."""

    def failed(self, path: ControlPath, error: Exception) -> None:
        """Tell what came of a coroutine that belongs to the control at ``path``."""


def guard(control: ft.BaseControl, runner: Runner, path: ControlPath = ()) -> None:
    """Let ``runner`` run every handler of ``control`` and of all it holds.

    Whole trees are gone through, and not each button by itself, so that none can be forgotten.
    """
    here = (*path, control.key) if isinstance(control.key, str) else path
    for name, value in given(control):
        if name.startswith("on_"):
            if callable(value):
                setattr(control, name, _guarded(value, runner, here))
        elif isinstance(value, ft.BaseControl):
            guard(value, runner, here)
        elif isinstance(value, list):
            for inner in value:
                if isinstance(inner, ft.BaseControl):
                    guard(inner, runner, here)


def sentence_of(error: Exception) -> str:
    """Return what to tell the person of ``error``, whatever it is."""
    if isinstance(error, PocketPumpError):
        return str(error)
    if isinstance(error, OSError):
        return message(
            "The device did not do this: it may be full. What was saved before is safe. Free some"
            " space and try again."
        )
    traceback.print_exc()
    return message(
        "Something went wrong in PocketPump. What you typed is still here. Look first whether it"
        " was saved, then try again."
    )


def controls_to(
    control: ft.BaseControl, wanted: ControlPath, path: ControlPath = ()
) -> list[ft.BaseControl] | None:
    """Return the controls on the way to the one at ``wanted``, the outermost first."""
    here = (*path, control.key) if isinstance(control.key, str) else path
    if here == wanted:
        return [control]
    if here != wanted[: len(here)]:
        return None
    for inner in inside(control):
        found = controls_to(inner, wanted, here)
        if found:
            return [control, *found]
    return None


def _guarded(handler: Callable[..., Any], runner: Runner, path: ControlPath) -> Callable[..., Any]:
    if inspect.iscoroutinefunction(handler):

        @wraps(handler)
        async def later(*event: Any) -> Any:
            try:
                return await handler(*event)
            except Exception as error:
                runner.failed(path, error)

        return later

    @wraps(handler)
    def at_once(*event: Any) -> Any:
        return runner.run(path, lambda: handler(*event))

    return at_once
