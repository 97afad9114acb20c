"""The demo dials nothing: every link to a telephone on a drawn screen says so instead."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any

import flet as ft

from pocketpump.core.messages import message

DIALS_NOTHING = message("The demo dials nothing. In your own record this calls the number.")


def mark_demo_calls(control: ft.BaseControl, tell: Callable[[], object]) -> None:
    """Let each button of ``control``, and of all it holds, that would dial ``tell`` instead.

    Whole trees are gone through, and not each button by itself, so that none can be forgotten.
    """

    def told(_event: Any = None) -> None:
        tell()

    for field in fields(control):
        if field.name.startswith("_") or field.name in ("key", "data"):
            continue
        value = getattr(control, field.name)
        if field.name == "action" and _dials(value):
            control.action = None  # type: ignore[attr-defined]
            control.on_click = told  # type: ignore[attr-defined]
        elif isinstance(value, ft.BaseControl):
            mark_demo_calls(value, tell)
        elif isinstance(value, list):
            for inner in value:
                if isinstance(inner, ft.BaseControl):
                    mark_demo_calls(inner, tell)


def _dials(action: object) -> bool:
    return isinstance(action, ft.OpenUrl) and str(action.url).startswith("tel:")
