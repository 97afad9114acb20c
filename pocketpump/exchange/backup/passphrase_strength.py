"""How strong a passphrase is, as a low estimate of the guesses that find it.

NIST SP 800-63B (memorised secrets; from memory) asks for length and for a look at what is common,
not for kinds of characters, and advises to show how strong a choice is. The estimate follows the
idea of Wheeler 2016, "zxcvbn", USENIX Security (from memory): a passphrase is as strong as its
parts, each counted as whoever guesses would try it: common words first, then dates, rows of keys,
repetitions. The library of that paper is not used: its word lists would be more than all of ours.
The numbers below are own rules, on the safe side; no source.
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from itertools import pairwise

from pocketpump.core.messages import LazyText, message

WEAK, FAIR, STRONG = "weak", "fair", "strong"

_WORD = 3_000.0
"""Guesses for one word that a person chose; random ones from a list of 7,776 are better."""
_COMMON = 100.0
_DATE = 40_000.0
_YEAR = 150.0
_KEYS = "qwertzuiop asdfghjkl yxcvbnm qwertyuiop zxcvbnm abcdefghijklmnopqrstuvwxyz 01234567890"
_TRIED_FIRST = """abc abcd admin baclofen backup computer dragon football geheim hallo hello
    iloveyou letmein login love lovely master monkey passphrase passwort password pocket pocketpump
    princess pump qwerty schatz secret sommer sunshine test welcome willkommen winter"""
_FIRST = frozenset(_TRIED_FIRST.split())
_PART = re.compile(r"[^\W\d_]+|\d+|\s+|.", re.DOTALL)
_GUESSES_PER_SECOND = 100_000.0
"""What somebody with the file and several fast computers may try: 600,000 rounds a guess."""
_DAY_S, _YEAR_S = 86_400.0, 31_557_600.0
_WEAK_BELOW = _DAY_S * _GUESSES_PER_SECOND
_STRONG_FROM = 100 * _YEAR_S * _GUESSES_PER_SECOND


@dataclass(frozen=True, slots=True)
class Strength:
    """The estimate: ``guesses`` at least, and one of the three levels."""

    guesses: float
    level: str

    @property
    def sentence(self) -> LazyText:
        """What is said of it at the form and on the command line."""
        return _SAID[self.level]


def strength_of(passphrase: str) -> Strength:
    """Return how strong ``passphrase`` is; of a long one the first 200 letters count."""
    text = unicodedata.normalize("NFKC", passphrase.strip())[:200]
    seen: dict[str, int] = {}
    log_guesses = 0.0
    for part in _PART.findall(text.casefold()):
        times = seen[part] = seen.get(part, 0) + 1
        # What came before is among the first things to be tried again.
        again = math.inf if times == 1 else 2.0 * len(seen) if part.isalnum() else 2.0
        log_guesses += math.log10(min(_guesses(part), again))
    guesses = 10 ** min(log_guesses, 300.0)
    if guesses < _WEAK_BELOW:
        return Strength(guesses, WEAK)
    return Strength(guesses, STRONG if guesses >= _STRONG_FROM else FAIR)


def _guesses(part: str) -> float:
    """Return the guesses for one run of letters, of digits or of blanks, or for one sign."""
    if part.isspace():
        return 1.0
    if (len(set(part)) == 1 and len(part) > 1) or _is_row(part):
        return 20.0 * len(part)
    if part.isdecimal():
        dated = {4: _YEAR, 6: _DATE, 8: _DATE} if _is_dated(part) else {}
        return dated.get(len(part), 10.0 ** len(part))
    if not part.isalpha():
        return 10.0
    if part in _FIRST:
        return _COMMON
    if len(part) <= 3:
        return min(26.0 ** len(part), _WORD)
    # Several words may be written together; in Chinese or Japanese one has about two letters.
    letters = sum(4 if unicodedata.east_asian_width(one) in "WF" else 1 for one in part)
    return float(_WORD ** math.ceil(letters / 8))


def _is_row(part: str) -> bool:
    """Tell whether neighbours on the keyboard or in the alphabet follow each other."""
    rows = _KEYS + " " + _KEYS[::-1]
    return len(part) > 2 and all(first + second in rows for first, second in pairwise(part))


def _is_dated(part: str) -> bool:
    return part[:2] in ("19", "20") or part[-4:-2] in ("19", "20") or len(part) == 6


_SAID = {
    WEAK: message(
        "This passphrase is weak: with the file, a computer may find it within a day. Take five or"
        " more words that do not belong together."
    ),
    FAIR: message(
        "This passphrase is fair: with the file, many computers may find it within years. One more"
        " word makes it strong."
    ),
    STRONG: message(
        "This passphrase looks strong. Names, sayings and song lines are weaker than they look."
    ),
}
