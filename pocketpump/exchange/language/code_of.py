"""The code of the language that a file is written in, for what reads it aloud."""

from pocketpump.core.messages import Locale
from pocketpump.exchange.language.locales import ENGLISH, LANGUAGE_NAMES
from pocketpump.exchange.language.locales import locale as tongue_of


def code_of(locale: Locale | None) -> str:
    """Return the code (BCP 47) of one of the app's languages; English for any other."""
    if locale is None:
        return ENGLISH
    return next((code for code in LANGUAGE_NAMES if tongue_of(code) is locale), ENGLISH)
