"""What a drawn control holds, in the order in which it stands on the screen."""

from collections.abc import Iterator
from dataclasses import fields
from functools import cache
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


def given(control: ft.BaseControl) -> list[tuple[str, Any]]:
    """Return what ``control`` was given: names and values of its fields.

    Flet keeps apart what differs from a field's default; of a control's seventy fields that
    is a handful, and these walks go over every control at every drawing.
    """
    always = [(name, getattr(control, name)) for name in _always_kept(type(control))]  # type: ignore[arg-type]  # a class can be hashed
    return always + [one for one in control._values.items() if one[0] not in _LEFT]


_LEFT = ("key", "data")


@cache
def _always_kept(kind: Any) -> tuple[str, ...]:
    """Return the fields of a kind of control that Flet keeps whether they differ or not."""
    names = (field.name for field in fields(kind))
    return tuple(n for n in names if n not in kind._prop_defaults and not n.startswith("_"))


def values(control: ft.BaseControl) -> Iterator[tuple[ft.BaseControl, str, Any]]:
    """Yield what ``control`` and all that it holds were given: whose, its name, the value.

    Whole trees are gone through, and not each part by itself, so that no part can be forgotten.
    """
    held = [control]
    while held:
        one = held.pop()
        for name, value in given(one):
            yield one, name, value
            inner = value if isinstance(value, list) else [value]
            held += [part for part in inner if isinstance(part, ft.BaseControl)]
