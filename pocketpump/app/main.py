"""The places of the bar, and the function that flet calls for a tab."""

from collections.abc import Callable, Mapping
from typing import Any

import flet as ft

from pocketpump.app.device import Device
from pocketpump.app.inbox import Inbox
from pocketpump.app.look.fonts import name_fonts
from pocketpump.app.screens.error_screen import error_screen
from pocketpump.app.screens.more.language import language_of
from pocketpump.app.screens.more.more import look_of
from pocketpump.app.screens.routes import ROUTES
from pocketpump.app.screens.undo import say_with_undo
from pocketpump.app.screens.whole_record.shared import lead_to_shared
from pocketpump.app.server.flet_patch import install_flet_patch
from pocketpump.app.services import Services
from pocketpump.app.shell.frame import BarPlace
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.exchange.language.locales import locale
from pocketpump.record.facts.situation import has_begun

PLACES = (
    # Note: the names in the bar at the bottom stand side by side: at most 8 letters each.
    BarPlace("/today", message("Today"), ft.Icons.WATER_DROP_OUTLINED),
    BarPlace("/diary", message("Diary"), ft.Icons.SHOW_CHART),
    BarPlace("/refills", message("Refills"), ft.Icons.EVENT_REPEAT),
    BarPlace("/card", message("Card"), ft.Icons.BADGE_OUTLINED),
    BarPlace("/more", message("More"), ft.Icons.MENU),
)


def _keep_in_step(app: App[Services], services: Services) -> None:
    """Let the tab ``app`` show what another one saves, until it is closed."""
    saved, ended = services.record.on_saved, services.on_ended
    saved.append(app.changed_elsewhere)
    ended.append(app.forget_typed)
    services.on_leaving.append(app.typed.half_filled)
    app.typed.take_up(services.left_behind())

    def go_on(forms: Mapping[str, Mapping[str, Any]]) -> None:
        app.typed.take_up(forms)
        app.changed_elsewhere()

    services.on_begun.append(go_on)
    ends = [_hear_inbox(app, services.inbox)] if services.inbox else []
    ends += [_hear_device(app, services.device)] if services.device else []

    def closed() -> None:
        for end in ends:
            end()
        saved.remove(app.changed_elsewhere)
        ended.remove(app.forget_typed)
        services.on_begun.remove(go_on)
        services.on_leaving.remove(app.typed.half_filled)

    app.on_closed = closed


def _hear_device(app: App[Services], device: Device) -> Callable[[], None]:
    """Let ``app`` show what the page around it tells; return what ends that."""

    def lead() -> None:
        lead_to_shared(app)

    device.on_told.append(app.changed_elsewhere)
    device.on_shared.append(lead)

    def end() -> None:
        device.on_told.remove(app.changed_elsewhere)
        device.on_shared.remove(lead)

    return end


def _hear_inbox(app: App[Services], inbox: Inbox) -> Callable[[], None]:
    """Let ``app`` tell what came in from the opening page; return what ends that."""

    def tell() -> None:
        came = inbox.told()
        # What was taken back already, or took something back, has nothing to be undone here.
        alive = {entry.id for entry in app.services.of_kind("check-in")}
        new = [entry.id for entry in came if entry.id in alive]
        # Elsewhere it would move what is under a finger.
        if new and app.route == "/today":
            say_with_undo(app, message("The check-in is saved."), new[-1])
        else:
            app.changed_elsewhere()

    inbox.on_change.append(tell)
    return lambda: inbox.on_change.remove(tell)


def tab(services: Services, fonts: str = "fonts") -> Callable[[ft.Page], None]:
    """Return what flet calls for every tab that is opened on ``services``.

    ``fonts`` is the address at which the bundled fonts are served.
    """
    install_flet_patch()

    def opened(page: ft.Page) -> None:
        # Who chose a language at the start, and nothing yet, goes on there.
        home = "/today" if has_begun(services.record.alive) else "/start"
        scale, mode = look_of(services)
        app = App(
            page, services, ROUTES, PLACES, home=home, now=services.now,
            next_turn=services.next_turn, error_screen=error_screen,
            scale=scale, mode=mode, locale=locale(language_of(services)),
            dials=not services.is_demo,
        )  # fmt: skip
        _keep_in_step(app, services)
        app.start()
        if services.inbox and services.inbox.new:
            services.inbox.tell()
        # Fetched beside the first screen, not before it: most people never need them.
        name_fonts(page, fonts)
        page.update()

    return opened
