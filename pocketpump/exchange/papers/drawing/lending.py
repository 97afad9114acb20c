"""Letters lent by the device: the bundled fonts cannot have every name of the world.

Whoever starts the app where there are no font files (a browser) says by `lend` who lends;
elsewhere the fonts of the system do (``device_fonts``).
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache, partial

from pocketpump.exchange.papers.drawing.borrowable import HIGH_MARKS, is_borrowable

EM = 1000
"""Units of outlines to the type size."""
_ABOVE_VOWEL = 30.0
"""The space under a tone, in those units."""

_LARGEST = 4.0
"""No letter is wider or higher, in ems."""

Point = tuple[float, float]
Stroke = tuple[str, tuple[Point, ...]]
"""A step of a fontTools pen: moveTo, lineTo, qCurveTo or closePath, and its points."""


@dataclass(frozen=True, slots=True, eq=False)
class LentLetter:
    """How the device draws ``letter``: its width in ems, its outline in `EM` units, up positive.

    Outlines run clockwise and holes the other way round, as in TrueType.
    """

    letter: str
    advance: float
    outline: tuple[Stroke, ...]

    @property
    def foot(self) -> float:
        """Its lowest point."""
        return min(y for _, points in self.outline for _, y in points)

    @property
    def top(self) -> float:
        """Its highest point."""
        return max(y for _, points in self.outline for _, y in points)


Lender = Callable[[str], LentLetter | None]
"""Draws one letter, or says that the device has none."""

_lender: Lender | None = None


def lend(lender: Lender | None) -> None:
    """Let ``lender`` lend from now on; None gives the word back to the fonts of the system."""
    global _lender
    _lender = lender
    lent.cache_clear()


@lru_cache(maxsize=2048)
def lent(letter: str) -> LentLetter | None:
    """Return ``letter`` as the device draws it; None if it cannot or should not be borrowed."""
    if not is_borrowable(letter):
        return None
    try:
        found = (_lender or _system_lender())(letter)
    except Exception:  # what a device does to a letter must never cost the page
        return None
    if found is None or not _is_sound(found):
        return None
    under = lent(HIGH_MARKS[letter]) if letter in HIGH_MARKS else None
    if under is not None and found.foot < under.top + _ABOVE_VOWEL:
        return _raised(found, under.top + _ABOVE_VOWEL - found.foot)
    return found


def _is_sound(found: LentLetter) -> bool:
    """Tell whether there is ink, about as large as a letter."""
    measures = [part for _, points in found.outline for point in points for part in point]
    near = all(abs(part) <= _LARGEST * EM for part in measures)
    return bool(measures) and near and 0 <= found.advance <= _LARGEST


def _raised(found: LentLetter, by: float) -> LentLetter:
    lifted = ((step, tuple((x, y + by) for x, y in points)) for step, points in found.outline)
    return LentLetter(found.letter, found.advance, tuple(lifted))


@lru_cache(maxsize=1)
def _system_lender() -> Lender:
    # The phone build has no such module: there are no font files.
    from pocketpump.exchange.papers.drawing import device_fonts

    return partial(device_fonts.lent_by_fonts, device_fonts.DeviceFonts())
