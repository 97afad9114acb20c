"""The kinds of entries and what each may hold, as one table.

Amounts carry their unit in the field's name and are finite numbers in that unit. The table
is used when something is newly written; what is read back is trusted, and kinds unknown here
(from a newer PocketPump) are kept as they are.
"""

import json
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any
from zoneinfo import ZoneInfo

from pocketpump.core.clinic import read_rule
from pocketpump.core.errors import InputError
from pocketpump.record.frozen import JSON, thaw

REMOVAL = "removal"
LONG = 4000
SHORT = 200
LARGEST_ATTACHMENT = 300 * 1024
"""The most bytes of a photo or scan kept as an entry: what a saved page needs, not more."""
_LARGEST_OBJECT = 100_000
_MOST_ITEMS = 1000


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a payload.

    ``type`` is a key of the checkers below; ``low`` and ``high`` are the inclusive bounds of
    a number (or of each number in a list), ``above`` an exclusive lower bound, ``longest``
    the most characters of a text, ``fewest`` the least items of a list.
    """

    name: str
    type: str = "text"
    required: bool = False
    low: float | None = None
    high: float | None = None
    above: float | None = None
    longest: int = SHORT
    fewest: int = 0


_NOTE = Field("note", longest=LONG)
_CLOCK = Field("clock_offset_minutes", "whole number", low=-840, high=840)


def _ten(name: str, required: bool = False) -> Field:
    return Field(name, "number", required, low=0, high=10)


def _volume(name: str) -> Field:
    return Field(name, "number", low=0, high=100)


KINDS: Mapping[str, tuple[Field, ...]] = {
    "pump": (
        Field("reservoir_ml", "number", required=True, above=0, high=100),
        Field("alarm_volume_ml", "number", required=True, low=0, high=100),
        Field("tolerance_percent", "number", low=0, high=50),
        Field("line_volume_ml", "number", above=0, high=5),
        _CLOCK,
        Field("drug_age_limit_days", "whole number", low=1, high=400),
        _volume("felt_low_ml"),
        Field("model"),
        Field("serial"),
        Field("position"),
        Field("tip_level"),
        Field("implanted_on", "date"),
        Field("reading_error_ml", "number", low=0, high=5),
    ),
    "refill": (
        Field("filled_ml", "number", required=True, above=0, high=100),
        Field("strength_mcg_per_ml", "number", required=True, above=0, high=20_000),
        Field("drug"),
        _volume("expected_ml"),
        _volume("withdrawn_ml"),
        _volume("measured_after_ml"),
        Field("printed_alarm_on", "date"),
        Field("next_visit_on", "date"),
        Field("bridged", "yes or no"),
        _NOTE,
    ),
    "programme": (
        Field("programme", "object", required=True),
        _CLOCK,
        Field("printed_alarm_on", "date"),
        _NOTE,
    ),
    "check-in": (
        _ten("stiffness", required=True),
        Field("spasms", "whole number", low=0, high=4),
        Field("severity", "whole number", low=1, high=3),
        _ten("pain"),
        _ten("sleep"),
        _ten("sleepiness"),
        Field("worries", "texts"),
        Field("side_effects", "texts"),
        _ten("ease"),
        Field("tablets_as_planned", "yes or no"),
        _NOTE,
    ),
    "happening": (
        Field("what", required=True, longest=80),
        _NOTE,
        Field("follow_up_done", "yes or no"),
    ),
    "measure": (
        Field("name", required=True),
        Field("value", "number", required=True, low=-1e9, high=1e9),
        Field("unit", required=True),
        Field("goal", "number", low=-1e9, high=1e9),
        Field("lower_is_better", "yes or no"),
        _NOTE,
    ),
    "contact": (
        Field("name", required=True),
        Field("role"),
        Field("phone"),
        Field("hours"),
        Field("emergency", "yes or no"),
    ),
    "plan": (
        Field("text", required=True, longest=LONG),
        Field("from_whom"),
        Field("given_on", "date"),
    ),
    "trip": (
        Field("place"),
        Field("zone", "zone", required=True),
        Field("leaves_on", "date", required=True),
        Field("returns_on", "date", required=True),
        # Further places in order, kept as {"stops": [{"from_on", "place", "zone"}, …]}.
        Field("stops", "object"),
        Field("clinic"),
        Field("languages", "texts"),
        _NOTE,
    ),
    "care": (
        Field("name"),
        Field("born_on", "date"),
        Field("surgeon"),
        Field("allergies", longest=LONG),
        Field("tablets", longest=LONG),
        Field("mri_notes", longest=LONG),
        Field("injury_t6_or_above", "yes or no"),
        Field("cannot_communicate", "yes or no"),
        Field("earlier_withdrawal", "yes or no"),
    ),
    "device": (
        Field("months_left", "number", low=0, high=240),
        Field("notice_on", "date"),
        _NOTE,
    ),
    "attachment": (
        Field("name", required=True),
        Field("media_type", required=True),
        # base64 of at most 300 kB (300 × 1024 bytes).
        Field("data", required=True, longest=LARGEST_ATTACHMENT * 4 // 3),
        _NOTE,
    ),
    "clinic days": (
        Field("open_weekdays", "whole numbers", required=True, low=0, high=6, fewest=1),
        Field("closed_on", "dates"),
        Field("opened_on", "dates"),
        Field("rule", "clinic rule"),
        Field("lead_days", "whole number", low=0, high=60),
        Field("margin_days", "whole number", low=0, high=60),
    ),
    "question": (
        Field("text", required=True, longest=LONG),
        Field("answered", "yes or no"),
    ),
    "preference": (
        Field("name", required=True),
        Field("value", "single value", required=True, longest=LONG),
    ),
    # That a backup was made, and how many entries were in it: Today's reminder counts from here.
    "backup": (
        Field("entry_count", "whole number", required=True, low=0, high=10_000_000),
        Field("locked", "yes or no"),
    ),
    # "together" names the removal this one was written with, so one undo takes back both.
    REMOVAL: (Field("together"),),
}

_IN_ORDER: Mapping[str, tuple[str, str]] = {
    "pump": ("alarm_volume_ml", "reservoir_ml"),
    "trip": ("leaves_on", "returns_on"),
}
"""Per kind, two fields of which the first may not be larger (later) than the second."""

_UNITS = {
    "_mcg_per_ml": " (mcg/mL)",
    "_ml": " (mL)",
    "_percent": " (%)",
    "_minutes": " (minutes)",
    "_days": " (days)",
}


def label(name: str) -> str:
    """Return the words for a field's name: ``"filled_ml"`` gives ``"filled (mL)"``."""
    for ending, unit in _UNITS.items():
        if name.endswith(ending):
            return name.removesuffix(ending).replace("_", " ") + unit
    return name.replace("_", " ")


@lru_cache(maxsize=64)
def is_zone(name: str) -> bool:
    """Tell whether ``name`` is a time zone this device knows, such as ``Europe/Berlin``."""
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return False
    return True


def is_date(text: object) -> bool:
    """Tell whether ``text`` is a calendar date written YYYY-MM-DD."""
    try:
        return isinstance(text, str) and date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _number(value: Any, field: Field, whole: bool = False) -> str:
    allowed = (int,) if whole else (int, float)
    if isinstance(value, bool) or not isinstance(value, allowed):
        return "a whole number" if whole else "a number"
    if isinstance(value, float) and not math.isfinite(value):
        return "a number"
    low, high, above = field.low, field.high, field.above
    too_low = (low is not None and value < low) or (above is not None and value <= above)
    if too_low or (high is not None and value > high):
        start = f"more than {above:.12g}" if above is not None else f"from {low:.12g}"
        return (
            f"{start} and at most {high:.12g}" if above is not None else f"{start} to {high:.12g}"
        )
    return ""


def _whole(value: Any, field: Field) -> str:
    return _number(value, field, whole=True)


def _text(value: Any, field: Field) -> str:
    if not isinstance(value, str):
        return "text"
    if field.required and not value.strip():
        return "filled in"
    if len(value) > field.longest:
        return f"at most {field.longest} characters long"
    if any("\ud800" <= letter <= "\udfff" for letter in value):
        return "text without broken characters"
    return ""


def _scalar(value: Any, field: Field) -> str:
    if value is None or isinstance(value, bool):
        return ""
    if isinstance(value, str):
        return _text(value, Field(field.name, longest=field.longest))
    limits = Field(field.name, low=-1e15, high=1e15)
    return "one text, number, yes or no" if _number(value, limits) else ""


def _object(value: Any, _field: Field) -> str:
    if not isinstance(value, Mapping) or not all(isinstance(key, str) for key in value):
        return "a set of named values"
    try:
        text = json.dumps(thaw(value), allow_nan=False, ensure_ascii=False)
        text.encode()
    except (TypeError, ValueError, RecursionError):
        return "a set of named values that can be saved"
    return "smaller" if len(text) > _LARGEST_OBJECT else ""


def _each(check: Callable[[Any, Field], str]) -> Callable[[Any, Field], str]:
    def check_all(value: Any, field: Field) -> str:
        if not isinstance(value, (list, tuple)) or len(value) < field.fewest:
            return "a list" + (" with at least one item" if field.fewest else "")
        if len(value) > _MOST_ITEMS:
            return f"a list of at most {_MOST_ITEMS} items"
        wrong = next(filter(None, (check(part, field) for part in value)), "")
        return wrong and f"a list in which each item is {wrong}"

    return check_all


def _bool(value: Any, _field: Field) -> str:
    return "" if isinstance(value, bool) else "yes or no"


def _date(value: Any, _field: Field) -> str:
    return "" if is_date(value) else "a date such as 2026-03-31"


def _zone(value: Any, _field: Field) -> str:
    return "" if isinstance(value, str) and is_zone(value) else "a time zone like Europe/Berlin"


def _rule(value: Any, _field: Field) -> str:
    try:
        read_rule(value if isinstance(value, str) else "?")
    except InputError:
        return "a rule such as FREQ=MONTHLY;BYDAY=1TU"
    return ""


_CHECKS: Mapping[str, Callable[[Any, Field], str]] = {
    "number": _number,
    "whole number": _whole,
    "whole numbers": _each(_whole),
    "text": _text,
    "texts": _each(_text),
    "yes or no": _bool,
    "date": _date,
    "dates": _each(_date),
    "zone": _zone,
    "clinic rule": _rule,
    "object": _object,
    "single value": _scalar,
}
"""Each checker returns what the value must be, or "" when it is right."""


def check_payload(kind: str, payload: Mapping[str, JSON]) -> dict[str, Any]:
    """Return a plain copy of ``payload`` that is fit to be written as ``kind``.

    Optional fields given as ``None`` are left out. Raises :class:`InputError`, with the
    field's name, when the kind or a field is unknown, a required field is missing, or a
    value is of the wrong type or out of bounds.
    """
    if kind not in KINDS:
        raise InputError(f"PocketPump here cannot write “{kind}”; update PocketPump to use it.")
    fields = {field.name: field for field in KINDS[kind]}
    for name in payload:
        if name not in fields:
            raise InputError(f"“{name}” does not belong in “{kind}”; leave it out.", field=name)
    checked: dict[str, Any] = {}
    for name, field in fields.items():
        value = payload.get(name)
        missing = name not in payload if field.type == "single value" else value is None
        if missing:
            if field.required:
                raise InputError(f"“{label(name)}” is missing; please fill it in.", field=name)
            continue
        wrong = _CHECKS[field.type](value, field)
        if wrong:
            raise InputError(f"“{label(name)}” must be {wrong}; please change it.", field=name)
        checked[name] = thaw(value)
    first, second = _IN_ORDER.get(kind, ("", ""))
    if first and checked[first] > checked[second]:
        raise InputError(
            f"“{label(first)}” cannot be beyond “{label(second)}”; please change one of them.",
            field=first,
        )
    return checked
