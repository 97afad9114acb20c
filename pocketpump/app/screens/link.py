"""The way from one screen to another."""

from typing import Any

import flet as ft

from pocketpump.app.parts import quiet_button
from pocketpump.app.shell.shell import App


def link(
    app: App[Any],
    label: str,
    route: str,
    icon: ft.IconData | None = None,
    *,
    key: str | None = None,
) -> ft.Control:
    """Return the button that leads to the screen at ``route``."""
    return quiet_button(label, lambda: app.go(route), icon=icon, key=key)
