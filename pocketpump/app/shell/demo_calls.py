"""The demo dials nothing: every link to a telephone on a drawn screen says so instead."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import flet as ft

from pocketpump.app.parts.control_tree import values
from pocketpump.core.messages import message

DIALS_NOTHING = message("The demo dials nothing. In your own record this calls the number.")


def mark_demo_calls(control: ft.BaseControl, tell: Callable[[], object]) -> None:
    """Let each button of ``control``, and of all it holds, that would dial ``tell`` instead."""

    def told(_event: Any = None) -> None:
        tell()

    for one, name, value in values(control):
        if name == "action" and _dials(value):
            one.action = None  # type: ignore[attr-defined]
            one.on_click = told  # type: ignore[attr-defined]


def _dials(action: object) -> bool:
    return isinstance(action, ft.OpenUrl) and str(action.url).startswith("tel:")
