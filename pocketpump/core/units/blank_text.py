"""Letters that show nothing: what is left of a text when they are taken away.

The sets follow the Unicode Standard: Default_Ignorable_Code_Point, White_Space, and the blank
braille pattern (U+2800), which is a symbol there and looks like a space.
"""

import re
import unicodedata

_FILLERS = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")
_DIRECTION = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")


def is_empty_looking(text: str) -> bool:
    """Tell whether ``text`` shows no letter: blanks, fillers, marks that only go on a letter."""
    return all(_shows_nothing(one) or unicodedata.category(one).startswith("M") for one in text)


def first_seen(text: str) -> str:
    """Return the first character of ``text`` that can be seen; "" when none can."""
    return next((letter for letter in text if not _shows_nothing(letter)), "")


def without_direction_marks(text: str) -> str:
    """Return ``text`` without the marks that only turn the direction of writing.

    They can make a telephone number or a name be shown in another order than it is kept.
    """
    return text if text.isascii() else _DIRECTION.sub("", text)


def _shows_nothing(letter: str) -> bool:
    return (
        letter.isspace()
        or letter in _FILLERS
        or "\ufe00" <= letter <= "\ufe0f"
        or "\u180b" <= letter <= "\u180f"
        or "\U000e0000" <= letter <= "\U000e0fff"
        or unicodedata.category(letter) in ("Cc", "Cf", "Zs", "Zl", "Zp")
    )
