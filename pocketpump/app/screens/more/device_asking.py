"""What only a press on the browser's own page may ask, and the offers of it on Today."""

import flet as ft

from pocketpump.app.device import Device
from pocketpump.app.parts import notice
from pocketpump.app.screens.link import link
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message


def offer(
    app: App[Services], device: Device, what: str, text: str, route: str, icon: ft.IconData
) -> ft.Control:
    """Draw an offer called ``what`` with the way to its screen, until it is sent away."""
    return notice(
        text,
        close=lambda: device.close(what),
        spoken=False,
        key=f"offer:{what}",
        below=[link(app, message("See how"), route, icon)],
    )


def ask_at_press(app: App[Services], do: str, title: str, text: str) -> None:
    """Let the page ask: the browser hears a press on itself only."""
    device = app.services.device
    assert device is not None  # the button stands only where there is one
    words = {"title": title, "text": text, "yes": message("Go on"), "no": message("Not now")}
    device.ask({"do": do, **{name: app.translated(said) for name, said in words.items()}})
