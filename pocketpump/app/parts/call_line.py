"""A call in one line, for where there is little room."""

from __future__ import annotations

import flet as ft

from pocketpump.app.look import theme
from pocketpump.app.parts.calls import dialling_first
from pocketpump.core.messages import message

_NO_BREAK = "\N{NO-BREAK SPACE}"


def call_line(name: str, phone: str, dialled: str, *, first: bool, key: str) -> ft.Control:
    """Call ``name``, as :func:`.calls.call_button` does, with the number in the same line."""
    # A number broken over two lines is dialled wrong by who reads it off.
    told = message("Call {name}: {phone}", name=name, phone=phone.replace(" ", _NO_BREAK))
    words = ft.Text(told, theme_style=theme.BUTTON, expand=True)
    return dialling_first(words, dialled, first=first, icon_size=theme.sized(26), key=key)
