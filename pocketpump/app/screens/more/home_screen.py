"""How PocketPump comes onto the home screen, by kind of phone."""

import flet as ft

from pocketpump.app.device import Kind
from pocketpump.app.parts import big_button, body, notice, section
from pocketpump.app.screens.link import link
from pocketpump.app.screens.more.device_asking import ask_at_press, offer
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.record.facts.situation import has_begun

OFFER = "home screen"
_HOW: dict[Kind, tuple[str, str]] = {
    "apple": (
        message("iPhone and iPad"),
        message(
            "Open this page in Safari. Tap Share (a square with an arrow), then Add to Home Screen."
            " The app on the home screen keeps a record of its own: if you have noted something in"
            " Safari, make a backup there and bring it in."
        ),
    ),
    "android": (
        message("Android with Chrome, Edge or another browser of that kind"),
        message(
            "Open the menu of the browser (three dots), then Install app or Add to home screen."
        ),
    ),
    "firefox": (
        message("Android with Firefox"),
        message("Open the menu of the browser (three dots), then Add app to home screen."),
    ),
    "computer": (
        message("A computer with Chrome or Edge"),
        message("Click the sign for installing at the end of the address, or look in the menu."),
    ),
}


def way_to_home_screen(app: App[Services]) -> list[ft.Control]:
    """Draw the way there under More; nothing where the app is no page of a browser."""
    if app.services.device is None:
        return []
    return [link(app, message("On the home screen"), "/home-screen", ft.Icons.ADD_TO_HOME_SCREEN)]


def home_screen(app: App[Services]) -> list[ft.Control]:
    """Draw the button where the browser can be asked, and how it is done by hand."""
    device = app.services.device
    told = device.told if device else None
    controls: list[ft.Control] = [
        body(
            message(
                "From the home screen PocketPump opens at a tap, also without a network, and most"
                " browsers keep its record more safely."
            )
        )
    ]
    if told and told.installed:
        controls.append(
            notice(message("PocketPump runs from the home screen here."), key="installed")
        )
    elif told and told.installs:
        controls.append(
            big_button(
                message("Put it there now"), lambda: _ask(app), icon=ft.Icons.ADD_TO_HOME_SCREEN
            )
        )
    # Of this device first.
    kinds = sorted(_HOW, key=lambda kind: told is None or kind != told.kind)
    for kind in kinds:
        title, how = _HOW[kind]
        controls += [section(title), body(how)]
    return controls


def offer_home_screen(app: App[Services]) -> list[ft.Control]:
    """Draw Today's offer to show how, until it is sent away."""
    device = app.services.device
    told = device.told if device else None
    if device is None or told is None or told.installed or OFFER in told.closed:
        return []
    if not has_begun(app.services.record.alive):
        return []
    text = message("PocketPump can stand on the home screen, like other apps.")
    return [offer(app, device, OFFER, text, "/home-screen", ft.Icons.ADD_TO_HOME_SCREEN)]


def _ask(app: App[Services]) -> None:
    ask_at_press(
        app,
        "install",
        message("PocketPump on the home screen"),
        message("The browser asks next whether to install it. It costs nothing."),
    )
