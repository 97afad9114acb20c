"""What the client itself is told: the language of its words, what to say, not to go dark."""

from contextlib import suppress

import flet as ft

from pocketpump.core.messages import Locale
from pocketpump.exchange.language.code_of import code_of
from pocketpump.exchange.language.locales import LANGUAGE_NAMES


def tell_language(page: ft.Page, locale: Locale | None) -> None:
    """Let the client's own words, and the voice it is read with, be of the same language."""
    page.locale_configuration = ft.LocaleConfiguration(
        supported_locales=[ft.Locale(code) for code in LANGUAGE_NAMES],
        current_locale=ft.Locale(code_of(locale)),
    )


def announce(page: ft.Page, words: str) -> None:
    """Let a screen reader say ``words`` now, also when it has just said the same."""

    async def say() -> None:
        await ft.SemanticsService().announce_message(words)

    page.run_task(say)


def keep_awake(page: ft.Page, wanted: bool) -> None:
    """Keep the device from going dark, or no longer."""

    async def switch() -> None:
        # Not every browser can; the card is shown all the same.
        with suppress(Exception):
            lock = ft.Wakelock()
            await (lock.enable() if wanted else lock.disable())  # type: ignore[no-untyped-call]

    page.run_task(switch)


def is_connected(page: ft.Page) -> bool:
    """Return whether a client shows ``page`` now; a closed tab has none."""
    return page.session.connection is not None
