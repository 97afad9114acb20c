"""Which letters may be borrowed from the device: those that look the same beside any other.

Pages are set letter by letter. What is written in Devanagari, Bengali, Tamil, Khmer and the like
takes its form and its order from its neighbours, and Arabic letters are joined; set one by one
these would be another word, or none. A wrong word on a card is worse than a mark that is told.
So only scripts whose letters stand alone are in the table. Emoji are pictures of many colours,
and a page has one ink.
"""

from bisect import bisect_right
from unicodedata import category

_SCRIPTS = (
    (0x00A1, 0x02AF, "Latin"),
    (0x0370, 0x052F, "Greek and Cyrillic"),
    (0x0531, 0x058F, "Armenian"),
    (0x05D0, 0x05F4, "Hebrew, without points"),
    (0x0E01, 0x0E5B, "Thai"),
    (0x0E81, 0x0EDF, "Lao"),
    (0x10A0, 0x10FF, "Georgian"),
    (0x1200, 0x139F, "Ethiopic"),
    (0x13A0, 0x13FF, "Cherokee"),
    (0x1400, 0x167F, "Canadian syllabics"),
    (0x1C80, 0x1CBF, "Cyrillic and Georgian, extended"),
    (0x1D00, 0x1DBF, "phonetic letters"),
    (0x1E00, 0x1FFF, "Latin with Vietnamese, Greek with accents"),
    (0x2010, 0x2027, "punctuation"),
    (0x2030, 0x203B, "punctuation"),
    (0x2070, 0x209C, "raised and lowered numbers"),
    (0x20A0, 0x20CF, "currencies"),
    (0x2100, 0x2121, "letterlike signs"),
    (0x2150, 0x218B, "fractions and Roman numbers"),
    (0x2200, 0x22FF, "signs of mathematics"),
    (0x2C60, 0x2C7F, "Latin, extended"),
    (0x2D00, 0x2D2F, "Georgian"),
    (0x2D30, 0x2D7F, "Tifinagh"),
    (0x2E80, 0x2FDF, "radicals of Chinese letters"),
    (0x3001, 0x30FF, "Japanese"),
    (0x3105, 0x312F, "Bopomofo"),
    (0x3131, 0x318E, "Korean letters"),
    (0x31A0, 0x31BF, "Bopomofo"),
    (0x31F0, 0x31FF, "Japanese"),
    (0x3400, 0x4DBF, "Chinese"),
    (0x4E00, 0x9FFF, "Chinese, Japanese, Korean"),
    (0xA000, 0xA4CF, "Yi"),
    (0xA640, 0xA69F, "Cyrillic, extended"),
    (0xA720, 0xA7FF, "Latin, extended"),
    (0xAB30, 0xABBF, "Latin and Cherokee, extended"),
    (0xAC00, 0xD7A3, "Korean syllables"),
    (0xF900, 0xFAFF, "Chinese, compatible"),
    (0xFB1D, 0xFB4F, "Hebrew, with points"),
    (0xFF01, 0xFFEE, "wide and narrow forms"),
    (0x20000, 0x2FA1F, "Chinese, rare"),
    (0x30000, 0x323AF, "Chinese, rare"),
)
"""First and last code point of blocks (Unicode 15), in their order."""
_STARTS = [first for first, _, _ in _SCRIPTS]
_WITH_MARKS = {"Thai", "Lao"}
"""Vowels and tones that stand over a letter keep their place there without shaping."""
_LETTERS_NUMBERS_SIGNS = "LNPS"

HIGH_MARKS = dict.fromkeys("\u0e48\u0e49\u0e4a\u0e4b\u0e4c", "\u0e35") | dict.fromkeys(
    "\u0ec8\u0ec9\u0eca\u0ecb\u0ecc", "\u0eb5"
)
"""Tones of Thai and Lao, and the vowel that each must clear: they may stand over one another."""


def is_borrowable(letter: str) -> bool:
    """Tell whether ``letter`` looks the same beside any other, so that it may be set alone."""
    at = bisect_right(_STARTS, ord(letter)) - 1
    if at < 0 or ord(letter) > _SCRIPTS[at][1]:
        return False
    kind = category(letter)
    return kind[0] in _LETTERS_NUMBERS_SIGNS or (kind == "Mn" and _SCRIPTS[at][2] in _WITH_MARKS)
