"""What a drawn control holds, in the order in which it stands on the screen."""

from collections.abc import Iterator

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
