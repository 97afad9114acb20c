"""The app inside a browser: the same screens as on the desktop, over the browser's own files.

Runs in the Python worker; :mod:`pocketpump.web.start` calls :func:`main`.
"""

import traceback
from collections.abc import Callable
from datetime import UTC, datetime

import flet as ft

from pocketpump.app.inbox import Inbox, epoch_of
from pocketpump.app.look import theme
from pocketpump.app.main import tab
from pocketpump.app.parts import notice, section
from pocketpump.app.screens.card.printed import card_of
from pocketpump.app.screens.more.language import language_of
from pocketpump.app.screens.more.remind import reminding_of
from pocketpump.app.services import Services
from pocketpump.app.shell.device_zone import DeviceZone
from pocketpump.app.shell.translation import translate
from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import text_in
from pocketpump.exchange.language.locales import locale
from pocketpump.exchange.papers.card_phrases import LANGUAGES, phrases
from pocketpump.record import Record
from pocketpump.record.errors import RecordUnreadableError
from pocketpump.record.facts.away import away_of
from pocketpump.record.facts.booked_visit import booked_visit
from pocketpump.record.facts.state import since_refill
from pocketpump.web import bridge
from pocketpump.web.errors import StorageBusyError, StorageUnavailableError
from pocketpump.web.glance import glance_facts


def warm() -> None:
    """Read what a first screen may need from the archive, so that it need not be there.

    The catalogues of the languages stay in it: everyone would have to fetch them twice.
    """
    for language in LANGUAGES:
        phrases(language)


def main(page: ft.Page) -> None:
    """Open the record and show the app, or say in one sentence why it cannot be opened."""
    try:
        _show(page)
    except Exception as error:
        traceback.print_exc()
        bridge.say_failed(error)


def _show(page: ft.Page) -> None:
    try:
        record = _open_record()
    except StorageBusyError:
        bridge.say_busy()
        return
    except StorageUnavailableError as error:
        _only_say(page, str(error))  # there are no files of ours that could be saved from here
        return
    except PocketPumpError as error:
        bridge.say_shut(text_in(str(error), locale(bridge.language())))
        return
    zone = ZoneWatch(DeviceZone(bridge.time_zone), lambda: publish(services))
    inbox = Inbox(record, bridge.forget_noted)
    services = Services(record, _now, zone, png_of=bridge.png_of, print_pages=bridge.print_pages,
                        device=bridge.device(), inbox=inbox)  # fmt: skip
    record.on_saved.append(lambda: _saved(services))
    bridge.on_noted(inbox.take)
    bridge.on_begun(lambda forms: [go_on(forms) for go_on in services.on_begun])
    publish(services)
    bridge.before_leaving(services.leave)
    tab(services, f"{bridge.release_url()}fonts")(page)


class ZoneWatch:
    """The name that ``zone`` tells, as a callable that calls ``changed`` when it is another one.

    The open app asks at least once a minute (`app.day_watch`).
    """

    def __init__(self, zone: Callable[[], str], changed: Callable[[], None]) -> None:
        self._zone = zone
        self._changed = changed
        self._name: str | None = None

    def __call__(self) -> str:
        """Return the zone's name."""
        # Noted before anybody is called, who will ask for it as well.
        before, self._name = self._name, self._zone()
        name = self._name
        if before not in (None, name):
            self._changed()
        return name


def _open_record() -> Record:
    files = bridge.files()
    if files.damaged():
        # Something is kept there under a name nobody can read: beginning anew would hide it.
        raise RecordUnreadableError
    return Record.open(files, clock=_now)


def _saved(services: Services) -> None:
    bridge.ask_for_lasting_storage()
    publish(services)


def publish(services: Services) -> None:
    """Hand the page the few facts it shows before Python is up."""
    try:
        card = card_of(services, services.now())
        answer, _ = services.forecast()
        kept, language = services.record.alive, language_of(services)
        # Of an empty record there is nothing to show yet.
        since = since_refill(kept, answer) if answer else None
        booked = booked_visit(kept, services.now())
        visit_on = booked.on if booked else None
        remind = reminding_of(services)
        away = away_of(kept, answer) if answer else None
        shown = glance_facts(
            card, answer, visit_on, language, since=since, remind=remind,
            away=away.sentence if away else "", epoch=epoch_of(services.record),
        )  # fmt: skip
        bridge.publish_glance(shown if kept else None)
    except Exception as error:
        # The save is done and must be told as done; the glance names the day it is of.
        print(f"PocketPump: the glance was not renewed: {error!r}")


def _now() -> datetime:
    return datetime.now(UTC)


def _only_say(page: ft.Page, sentence: str) -> None:
    theme.apply(page)
    page.title = "PocketPump"
    view = page.views[0]
    words = [section("PocketPump", level=1), notice(sentence, needs_you=True)]
    whole = ft.SafeArea(ft.Column(words, spacing=theme.SPACE), minimum_padding=20)
    translate(whole, locale(bridge.language()))
    view.controls = [whole]
    page.update()
