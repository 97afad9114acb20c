"""The code of the language that a file is written in, for what reads it aloud."""

from pocketpump.core.messages import Tongue
from pocketpump.exchange.language.locales import ENGLISH, TONGUES
from pocketpump.exchange.language.locales import tongue as tongue_of


def code_of(tongue: Tongue | None) -> str:
    """Return the code (BCP 47) of one of the app's languages; English for any other."""
    if tongue is None:
        return ENGLISH
    return next((code for code in TONGUES if tongue_of(code) is tongue), ENGLISH)
