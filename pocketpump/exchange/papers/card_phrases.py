"""The fixed phrases of card and letter in each language, with how far they can be trusted.

One JSON file a language in ``assets/phrases``: its code, its own name, its direction
("ltr", "rtl"), ``reviewed`` ("original" for English, "no" until a named process has reviewed
it) and the phrases. The glance page reads the same files.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from pocketpump.core.errors import InputError, shown
from pocketpump.core.messages import message
from pocketpump.exchange.papers.drawing.fonts import asset_folder

ORIGINAL = "en"
LANGUAGES = ("en", "es", "fr", "de", "it", "pt", "pl", "tr", "ar", "zh", "ja")
ENGLISH_NAMES = {
    "en": message("English"),
    "es": message("Spanish"),
    "fr": message("French"),
    "de": message("German"),
    "it": message("Italian"),
    "pt": message("Portuguese"),
    "pl": message("Polish"),
    "tr": message("Turkish"),
    "ar": message("Arabic"),
    "zh": message("Chinese"),
    "ja": message("Japanese"),
}


@dataclass(frozen=True)
class Phrases:
    """The phrases of one language; ``name`` is what its speakers call it."""

    code: str
    name: str
    direction: str
    reviewed: str
    words: Mapping[str, str]

    def __getitem__(self, key: str) -> str:
        return self.words[key]

    @property
    def is_original(self) -> bool:
        """Whether this is the language the phrases were written in."""
        return self.code == ORIGINAL

    @property
    def needs_review(self) -> bool:
        """Whether nobody has reviewed the translation yet."""
        return self.reviewed == "no"


@lru_cache(maxsize=len(LANGUAGES))
def phrases(language: str) -> Phrases:
    """Return the phrases in ``language``, a code of `LANGUAGES`; raises `InputError`."""
    if language not in LANGUAGES:
        known = ", ".join(LANGUAGES)
        raise InputError(
            message(
                'There is no card in "{language}": choose one of {known}.',
                language=shown(language),
                known=known,
            )
        )
    path = asset_folder("phrases") / f"{language}.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    return Phrases(data["code"], data["name"], data["direction"], data["reviewed"],
                   data["phrases"])  # fmt: skip
