"""What a drawn control holds, in the order in which it stands on the screen."""

from collections.abc import Iterator
from dataclasses import fields
from typing import Any

import flet as ft


def inside(control: ft.BaseControl) -> Iterator[ft.BaseControl]:
    """Yield what ``control`` holds itself."""
    content = getattr(control, "content", None)
    if isinstance(content, ft.BaseControl):
        yield content
    yield from getattr(control, "controls", None) or ()


def everything(control: ft.BaseControl) -> Iterator[ft.BaseControl]:
    """Yield ``control`` and all that it holds, however deep."""
    yield control
    for one in inside(control):
        yield from everything(one)


def values(control: ft.BaseControl) -> Iterator[tuple[ft.BaseControl, str, Any]]:
    """Yield every value of ``control`` and of all that any field of it holds: whose, its name, it.

    Whole trees are gone through, and not each part by itself, so that no part can be forgotten.
    """
    held = [control]
    while held:
        one = held.pop()
        for field in fields(one):
            if not field.name.startswith("_") and field.name not in ("key", "data"):
                value = getattr(one, field.name)
                yield one, field.name, value
                inner = value if isinstance(value, list) else [value]
                held += [part for part in inner if isinstance(part, ft.BaseControl)]
