"""Amounts as people write them, turned into plain numbers in one canonical unit.

Pint does the unit arithmetic, on a registry of our own with the few units the trade
uses (Pint's full registry takes a second to build in a browser and knows thousands of
units nobody here may type by accident). Inside the core there are only floats whose
names carry the unit: ``volume_ml``, ``strength_mcg_per_ml``, ``dose_mcg_per_day``.
"""

import math
import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import pint

from pocketpump.core.errors import InputError, shown
from pocketpump.core.messages import localized_number, message

_DEFINITIONS: Final = (
    "milli- = 1e-3 = m-",
    "micro- = 1e-6 = u- = mc-",
    "gram = [mass] = g",
    "litre = [volume] = L",
    "second = [time] = s",
    "minute = 60 * second = min",
    "hour = 60 * minute = h",
    "day = 24 * hour = d",
    "percent = 0.01 = pct",
)

# Spellings people and printouts use, English and German, in lower case. "u" stands for both
# micro signs.
_SPELLINGS: Final = {
    spelling: unit
    for unit, spellings in {
        "mcg": "mcg ug microgram micrograms mcgs ugs mikrogramm",
        "mg": "mg milligram milligrams mgs milligramm",
        "g": "g gram grams gramm",
        "mL": "ml millilitre millilitres milliliter milliliters mls cc",
        "L": "l litre litres liter liters",
        "h": "h hr hrs hour hours hourly std stunde stunden stündlich",
        "min": "min mins minute minutes minuten",
        "d": "d day days daily tag tage tagen täglich tgl",
        "pct": "% percent pct prozent",
    }.items()
    for spelling in spellings.split()
}


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of amount: its name for sentences, canonical unit, an example, what it can be.

    ``largest`` and ``smallest`` (of what is above zero) are what no pump goes beyond, in the
    canonical unit: far from anything met, so what lies outside is refused as a slip (own
    limits, no source). What is only unusual is asked about:
    `pocketpump.core.refill_check.plausibility`.
    """

    name: str
    unit: str
    example: str
    largest: float
    smallest: float = 0.0


# The record's own bound of a volume; the pumps of journals hold 20 or 40 mL (Maino 2017).
VOLUME: Final = Dimension(message("a volume"), "mL", "20 mL", 100.0)
# Weaker than 1 mcg/mL, the largest volume above would hold less than 100 mcg, which is one
# screening dose of the label; the weakest solution supplied, for screening, has 50.
STRENGTH: Final = Dimension(message("a strength"), "mcg/mL", "500 mcg/mL", 20_000.0, 1.0)
DOSE: Final = Dimension(
    message("a dose for a time"),
    "mcg/day",
    # Note: an example of what can be typed, so with a unit that is read.
    message("200 mcg/day"),
    100_000.0,
    # The slowest flow in print, 0.048 mL/day (Neuromodulation 2023), of 1 mcg/mL is 0.048 mcg/day.
    0.001,
)
HOURLY_RATE: Final = Dimension(message("a rate"), "mcg/h", "10 mcg/h", 100_000.0 / 24)
AMOUNT: Final = Dimension(message("an amount of drug"), "mcg", "45 mcg", 100_000.0)
PERCENT: Final = Dimension(message("a percentage"), "%", localized_number("14.5 %"), 50.0)

_AMOUNT_TEXT: Final = re.compile(
    r"([-+\u2212]?)\s*([0-9.,'\u2019]*[0-9][0-9.,'\u2019]*)\s*(.*)", re.DOTALL
)
# Both micro signs, and the blanks that do not break.
_ASCII: Final = str.maketrans("\u00b5\u03bc\u00a0\u202f", "uu  ")
# No amount is longer: a whole page pasted by accident is refused before it is looked at.
_LONGEST: Final = 500
_ZERO_TOO_MANY: Final = re.compile(r"0[0-9]|0([.,'\u2019])[0-9]{3}(?:\1|[.,])")
_PER_WORDS: Final = "per|a|an|every|each|pro|je|am"
_EACH_WORDS: Final = r"daily|hourly|täglich|stündlich|tgl\.?"
_PER: Final = re.compile(r"([0-9.,'\u2019]*)\s*([^0-9/]+)")
_GROUPED: Final = re.compile(r"[0-9]{1,3}(?:([.,'\u2019])[0-9]{3})(?:\1[0-9]{3})*")


def parse_number(text: str, field: str = "") -> float:
    """Return the number written in ``text``; decimal point and decimal comma both count.

    A lone comma followed by exactly three digits ("1,000") is refused, because it means
    one thousand to some readers and one to others, and a strength read a thousand times
    too small is the very slip this program exists to catch. A lone point likewise when the
    last of the three is a zero ("2.000"), which only the large reading needs. So is what ends in
    its sign ("5,") or begins with a zero too many ("020"): a digit or a point may be missing.
    All that is refused, or is no number, raises `InputError`.
    """
    match = _amount_in(text)
    if match is None or match[3]:
        raise InputError(
            message('"{text}" is not a number: write it like 20 or 0.5.', text=shown(text)), field
        )
    return _number(match[1], match[2], text, field)


def parse_quantity(
    text: str, dimension: Dimension, *, bare_unit: str = "", field: str = ""
) -> float:
    """Return the amount in ``text`` in the canonical unit of ``dimension``.

    ``bare_unit`` is the unit taken for a number without one, given only where the field
    on the screen fixes it; without it a bare number is refused. Raises `InputError`.
    """
    match = _amount_in(text)
    if match is None:
        raise _not_of(dimension, text, field)
    value = _number(match[1], match[2], text, field)
    written = match[3] or bare_unit
    if not written:
        raise InputError(
            message(
                '"{text}" has no unit: write it like {example}.',
                text=shown(text),
                example=dimension.example,
            ),
            field,
        )
    unit, divisor = _unit(written, text, dimension, field)
    canonical = _convert(value, unit, dimension, text, field) / divisor
    if canonical > dimension.largest:
        raise InputError(
            message(
                '"{text}" is more than {largest} {unit}, which no pump uses: look at the number'
                " and the unit again.",
                text=shown(text),
                largest=format_number(dimension.largest),
                unit=unit_text(dimension),
            ),
            field,
        )
    if 0 < canonical < dimension.smallest:
        raise InputError(
            message(
                '"{text}" is less than {smallest} {unit}, which no pump uses: look at the number'
                " and the unit again, and write it like {example}.",
                text=shown(text),
                smallest=format_number(dimension.smallest),
                unit=unit_text(dimension),
                example=dimension.example,
            ),
            field,
        )
    return canonical


def format_number(value: float, places: int = 3) -> str:
    """Return ``value`` with at most ``places`` decimals and no trailing zeros: 0.4, 20, 627.9."""
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return localized_number("0" if text in ("-0", "") else text)


# No printout has more decimals than these.
_MOST_PLACES: Final = 6
_MOST_SMALL_PLACES: Final = 12
# The crumbs that arithmetic leaves on a number that was typed; far below any printed digit.
_CRUMB: Final = 1e-11


def entered_number(value: float, places: int = 2) -> str:
    """Return ``value`` with every digit that was typed: 331.25, 0.0625, 20.

    What was typed has few decimals and is never shown rounded. A number that was computed (a
    third, a mean) has no end; it is rounded to ``places`` decimals, or to two digits where that
    would leave nothing of it.
    """
    for digits in range(_MOST_PLACES + 1):
        if abs(round(value, digits) - value) <= _CRUMB * max(1.0, abs(value)):
            return format_number(value, digits)
    if round(value, places) == 0:
        places = min(_MOST_SMALL_PLACES, 1 - math.floor(math.log10(abs(value))))
    return format_number(value, places)


def entered_quantity(value: float, dimension: Dimension, places: int = 2) -> str:
    """Return an amount that the clinic printed, with its unit and every digit typed."""
    number = entered_number(value, places)
    return message("{number} {unit}", number=number, unit=unit_text(dimension))


_UNITS: Final = {
    "mcg/day": message("mcg/day"),
    "day": message("day"),
}
"""Units that hold a word, not only symbols."""


def unit_text(dimension: Dimension) -> str:
    """Return the canonical unit of ``dimension`` as it is shown."""
    return _UNITS.get(dimension.unit, dimension.unit)


def format_quantity(value: float, dimension: Dimension, places: int = 2) -> str:
    """Return ``value`` (canonical unit) with its unit, as `parse_quantity` reads it back."""
    number = format_number(value, places)
    return message("{number} {unit}", number=number, unit=unit_text(dimension))


def _not_of(dimension: Dimension, text: str, field: str) -> InputError:
    # Note: {kind} is like "a volume".
    sentence = message(
        '"{text}" is not {kind}: write it like {example}.',
        text=shown(text),
        kind=dimension.name,
        example=dimension.example,
    )
    return InputError(sentence, field)


def _amount_in(text: str) -> re.Match[str] | None:
    """Return sign, digits and unit of an amount on one line; None when there is none."""
    line = text.strip()
    if len(line) > _LONGEST or len(line.splitlines()) > 1:
        return None
    return _AMOUNT_TEXT.fullmatch(line.translate(_ASCII))


def _number(sign: str, digits: str, text: str, field: str) -> float:
    value = _plain_number(digits, text, field)
    if sign and sign != "+" and value != 0:
        raise InputError(
            message('"{text}" is below zero: write it without the minus.', text=shown(text)), field
        )
    return value


def _plain_number(digits: str, text: str, field: str) -> float:
    unreadable = InputError(
        message('I cannot read the number in "{text}": write it like 20 or 0.5.', text=shown(text)),
        field,
    )
    if not digits[-1].isdigit() or _ZERO_TOO_MANY.match(digits):
        raise unreadable
    separators = [c for c in digits if not c.isdigit()]
    last = separators[-1] if separators else ""
    if not separators:
        plain = digits
    elif len(separators) == 1:
        whole, _, rest = digits.partition(last)
        grouping = last != "." or rest.endswith("0")
        if grouping and len(rest) == 3 and whole.strip("0"):
            decimals = rest.rstrip("0") or "0"
            # With a comma for the point three digits would be refused once more.
            small = f"{whole}.{decimals}{'0' if len(decimals) == 3 else ''}"
            raise InputError(
                message(
                    '"{text}" can be read in two ways: write {large} for the large number or'
                    " {small} for the small one.",
                    text=shown(text),
                    large=shown(whole + rest),
                    small=localized_number(shown(small)),
                ),
                field,
            )
        if last not in ".,":
            raise unreadable
        plain = f"{whole or '0'}.{rest or '0'}"
    elif _GROUPED.fullmatch(digits):
        plain = "".join(c for c in digits if c.isdigit())
    else:
        whole, _, rest = digits.rpartition(last)
        if last not in ".," or last in whole or not _GROUPED.fullmatch(whole):
            raise unreadable
        plain = "".join(c for c in whole if c.isdigit()) + "." + (rest or "0")
    value = float(plain)
    if not math.isfinite(value):
        raise unreadable
    return value


def _unit(written: str, text: str, dimension: Dimension, field: str) -> tuple[str, float]:
    """Return the unit as Pint reads it and what to divide by ("mg/20 mL" gives mg/mL and 20)."""
    spelt = f" {unicodedata.normalize('NFC', written)} "
    spelt = re.sub(rf"\s+(?:{_PER_WORDS})\s+", "/", spelt, flags=re.IGNORECASE)
    spelt = re.sub(rf"\s+({_EACH_WORDS})\s", r"/\1 ", spelt, flags=re.IGNORECASE)
    above, _, below = spelt.partition("/")
    per = _PER.fullmatch(below.strip())
    units = [above, *([per[2]] if per else [])]
    divisor = _plain_number(per[1], text, field) if per and per[1] else 1.0
    known = [_SPELLINGS.get(unit.strip().rstrip(".").lower()) for unit in units]
    if None in known or ("/" in spelt and per is None) or divisor == 0:
        strange = next((u for u, k in zip(units, known, strict=True) if k is None), written)
        raise InputError(
            message(
                'I do not know the unit "{unit}" in "{text}": write it like {example}.',
                unit=shown(strange),
                text=shown(text),
                example=dimension.example,
            ),
            field,
        )
    return "/".join(str(k) for k in known), divisor


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[float]:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    for line in _DEFINITIONS:
        registry.define(line)
    return registry


def _convert(value: float, unit: str, dimension: Dimension, text: str, field: str) -> float:
    factor = _factor(unit, dimension.unit.replace("%", "pct").replace("day", "d"))
    if factor is None:
        raise _not_of(dimension, text, field)
    return value * factor


@lru_cache(maxsize=256)
def _factor(unit: str, wanted: str) -> float | None:
    """Return what to multiply by, kept for the next of thousands of rows; None if there is none."""
    try:
        # Multiplying by the exact ratio keeps 500 mcg/mL at 500.0, not 499.99999999999994.
        factor = float(_registry().Quantity(1.0, unit).to(wanted).magnitude)
    except pint.DimensionalityError:
        return None
    nearest = float(round(factor)) if factor >= 1 else 1 / round(1 / factor)
    return nearest if math.isclose(factor, nearest, rel_tol=1e-12) else factor
