"""Whether values may be written as a kind of entry: one checker for each type of field."""

import json
import math
import re
from base64 import b64decode
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from pocketpump.core.errors import InputError
from pocketpump.core.messages import LazyText, localized_number, message, plural_message
from pocketpump.core.pump.clinic_days import read_rule
from pocketpump.core.pump.programme_payload import programme_from_payload
from pocketpump.core.units.blank_text import is_empty_looking, without_direction_marks
from pocketpump.core.units.instants import FIRST_YEAR, is_zone, parse_date
from pocketpump.record.entry.field_labels import label
from pocketpump.record.entry.frozen import JSON, thaw
from pocketpump.record.entry.kinds import IN_ORDER, KINDS, Field

_LARGEST_OBJECT = 100_000
_MOST_ITEMS = 1000
_MOST_STOPS = 100
_CLOCK = re.compile("([01][0-9]|2[0-3]):[0-5][0-9]")


def is_date(text: object, first_year: int = FIRST_YEAR) -> bool:
    """Tell whether ``text`` is a calendar date from ``first_year`` on, written YYYY-MM-DD."""
    try:
        return isinstance(text, str) and parse_date(text, first_year=first_year).isoformat() == text
    except ValueError:
        return False


def _number(value: Any, field: Field, whole: bool = False) -> str:
    allowed = (int,) if whole else (int, float)
    if isinstance(value, bool) or not isinstance(value, allowed):
        return message("a whole number, without decimals") if whole else message("a number")
    if isinstance(value, float) and not math.isfinite(value):
        return message("a number")
    low, high, above = field.low, field.high, field.above
    too_low = (low is not None and value < low) or (above is not None and value <= above)
    if too_low or (high is not None and value > high):
        if above is not None and low is None:
            return message(
                "more than {low} and at most {high}",
                low=localized_number(f"{above:.12g}"),
                high=localized_number(f"{high:.12g}"),
            )
        return message(
            "from {low} to {high}",
            low=localized_number(f"{low:.12g}"),
            high=localized_number(f"{high:.12g}"),
        )
    return ""


def _whole(value: Any, field: Field) -> str:
    return _number(value, field, whole=True)


def _text(value: Any, field: Field) -> str:
    if not isinstance(value, str):
        return message("text")
    if field.required and is_empty_looking(value):
        return message("filled in")
    if len(value) > field.longest:
        return plural_message(
            "at most {count} character long", "at most {count} characters long", field.longest
        )
    if any("\ud800" <= letter <= "\udfff" for letter in value):
        return message("text without broken characters")
    return ""


def _scalar(value: Any, field: Field) -> str:
    if value is None or isinstance(value, bool):
        return ""
    if isinstance(value, str):
        return _text(value, Field(field.name, longest=field.longest))
    limits = Field(field.name, low=-1e15, high=1e15)
    return message("one text, number, yes or no") if _number(value, limits) else ""


def _object(value: Any, _field: Field) -> str:
    if not isinstance(value, Mapping) or not all(isinstance(key, str) for key in value):
        return message("a set of named values")
    try:
        text = json.dumps(thaw(value), allow_nan=False, ensure_ascii=False)
        text.encode()
    except (TypeError, ValueError, RecursionError):
        return message("a set of named values that can be saved")
    return message("smaller") if len(text) > _LARGEST_OBJECT else ""


def _programme(value: Any, field: Field) -> str:
    wrong = _object(value, field)
    if wrong:
        return wrong
    try:
        programme_from_payload(value)
    except InputError:
        return message("a dose setting with its rates")
    return ""


def _stops(value: Any, field: Field) -> str:
    """Check the further places of a trip: {"stops": [{"from_on", "place", "zone"}, …]}."""
    wrong = _object(value, field)
    if wrong:
        return wrong
    stops = value.get("stops", ())
    sound = isinstance(stops, (list, tuple)) and set(value) <= {"stops"}
    if not sound or not all(map(_is_stop, stops)):
        return message("a list of places, each with its first day, its name and its time zone")
    if len(stops) > _MOST_STOPS:
        return plural_message("at most {count} place", "at most {count} places", _MOST_STOPS)
    return ""


def _is_stop(stop: Any) -> bool:
    return (
        isinstance(stop, Mapping)
        and set(stop) == {"from_on", "place", "zone"}
        and is_date(stop["from_on"])
        and not _text(stop["place"], Field("place"))
        and not _zone(stop["zone"], Field("zone"))
    )


def _base64(value: Any, field: Field) -> str:
    wrong = _text(value, field)
    if wrong:
        return wrong
    try:
        b64decode(value, validate=True)
    except ValueError:
        return message("a whole file, as base64")
    return ""


def _each(check: Callable[[Any, Field], str]) -> Callable[[Any, Field], str]:
    def check_all(value: Any, field: Field) -> str:
        if not isinstance(value, (list, tuple)) or len(value) < field.fewest:
            return message("a list with at least one item") if field.fewest else message("a list")
        if len(value) > _MOST_ITEMS:
            return plural_message(
                "a list of at most {count} item", "a list of at most {count} items", _MOST_ITEMS
            )
        wrong = next(filter(None, (check(part, field) for part in value)), "")
        return wrong and message("a list in which each item is {wanted}", wanted=wrong)

    return check_all


def _bool(value: Any, _field: Field) -> str:
    return "" if isinstance(value, bool) else message("yes or no")


def _date(value: Any, field: Field) -> str:
    first_year = FIRST_YEAR if field.low is None else int(field.low)
    return "" if is_date(value, first_year) else message("a date such as 2026-03-31")


def _time(value: Any, _field: Field) -> str:
    sound = isinstance(value, str) and _CLOCK.fullmatch(value)
    return "" if sound else message("a time such as 14:30")


def _zone(value: Any, _field: Field) -> str:
    if isinstance(value, str) and is_zone(value):
        return ""
    return message("a time zone like Europe/Berlin")


def _rule(value: Any, _field: Field) -> str:
    try:
        read_rule(value if isinstance(value, str) else "?")
    except InputError:
        return message("a rule such as FREQ=MONTHLY;BYDAY=1TU")
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
    "time": _time,
    "zone": _zone,
    "clinic rule": _rule,
    "programme": _programme,
    "object": _object,
    "stops": _stops,
    "base64": _base64,
    "single value": _scalar,
}
"""Each checker returns what the value must be, or "" when it is right."""


def must_be(value: Any, field: Field, *, kept: bool = False) -> str:
    """Return what ``value`` must be to fit ``field``, in words; "" when it fits.

    ``kept`` is as for :func:`check_payload`.
    """
    if kept and field.required and isinstance(value, str) and value.strip():
        field = replace(field, required=False)  # it was enough when it was written
    return _CHECKS[field.type](value, field)


def without_nulls(kind: str, payload: Mapping[str, JSON]) -> Mapping[str, JSON]:
    """Return ``payload`` without the optional fields of ``kind`` that are null.

    To us a field that is null and one that is not there say the same.
    """
    if None not in payload.values():
        return payload
    legal = {field.name for field in KINDS.get(kind, ()) if field.type == "single value"}
    known = {field.name for field in KINDS.get(kind, ())} - legal
    return {name: one for name, one in payload.items() if one is not None or name not in known}


def _undirected(value: Any) -> Any:
    if isinstance(value, str):
        # Not what the program itself says: it is kept as English words, which have none.
        return value if isinstance(value, LazyText) else without_direction_marks(value)
    if isinstance(value, (list, tuple)):
        return list(map(_undirected, value))
    return value


def is_fit(kind: str, payload: Mapping[str, JSON]) -> bool:
    """Tell whether ``payload``, of an entry written before, fits a known ``kind``."""
    try:
        check_payload(kind, payload, kept=True)
    except InputError:
        return False
    return True


def check_payload(kind: str, payload: Mapping[str, JSON], *, kept: bool = False) -> dict[str, Any]:
    """Return a plain copy of ``payload`` that is fit to be written as ``kind``.

    Optional fields given as ``None`` are left out, and so are marks that only turn the direction
    of writing. With ``kept`` the payload is of an entry written before, to which a rule that came
    later does not apply. Raises
    :class:`InputError`, with the field's name, when the kind or a field is unknown, a required
    field is missing, or a value is of the wrong type or out of bounds.
    """
    if kind not in KINDS:
        raise InputError(
            message(
                "PocketPump here cannot write “{kind}”; update PocketPump to use it.", kind=kind
            )
        )
    fields = {field.name: field for field in KINDS[kind]}
    for name in payload:
        if name not in fields:
            raise InputError(
                message(
                    "“{name}” does not belong in “{kind}”; leave it out.", name=name, kind=kind
                ),
                field=name,
            )
    checked: dict[str, Any] = {}
    for name, field in fields.items():
        value = payload.get(name)
        missing = name not in payload if field.type == "single value" else value is None
        if missing:
            if field.required:
                raise InputError(
                    message("“{name}” is missing; please fill it in.", name=label(name)), field=name
                )
            continue
        if not kept:
            value = _undirected(value)
            if field.written_low is not None:
                field = replace(field, low=field.written_low)
        elif field.type == "programme":
            # What cannot be read was kept, is told of, and must not be lost on the way.
            field = replace(field, type="object")
        wrong = must_be(value, field, kept=kept)
        if wrong:
            # Note: {wanted} is like "a number", "filled in" or "at most 200 characters long".
            sentence = message(
                "“{name}” must be {wanted}; please change it.", name=label(name), wanted=wrong
            )
            raise InputError(sentence, field=name)
        checked[name] = thaw(value)
    first, second = IN_ORDER.get(kind, ("", ""))
    if first and checked[first] > checked[second]:
        raise InputError(
            message(
                "“{first}” cannot be beyond “{second}”; please change one of them.",
                first=label(first),
                second=label(second),
            ),
            field=first,
        )
    return checked
