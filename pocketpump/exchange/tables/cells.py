"""One cell of a table: how a value is written there, and read by the rules for what is typed."""

import json
import re
import unicodedata
from decimal import Decimal
from typing import Any

from pocketpump.core.errors import InputError, shown
from pocketpump.core.messages import message
from pocketpump.core.units.blank_text import first_seen
from pocketpump.core.units.quantity import parse_number
from pocketpump.core.units.typed_dates import read_said_time
from pocketpump.record.entry.bounds import load
from pocketpump.record.entry.field_labels import column
from pocketpump.record.entry.kinds import Field

# A spreadsheet may run a cell that begins so as a formula, also behind blanks, quotes and marks
# that it drops, and in full width: OWASP, CSV Injection. The apostrophe makes it plain text. One
# that divides the file at other marks than ours sees more beginnings of cells than we wrote.
_FORMULA = "=+-@\u2212"
_BETWEEN = re.compile("([,;|\t\r\n\v\f\x85\u2028\u2029])")
_JSON_TEXT = re.compile(r'"(?:[^"\\]|\\.)*+"')
_FIRST = ("'", "\t", "\r", "\n")
_NUMBERS = ("number", "whole number")
_JSON = ("texts", "whole numbers", "dates", "programme", "stops", "single value")


def write_cell(value: Any, field: Field, present: bool) -> str:
    """Return the text of one value; "" for one that is not there, an apostrophe for no letters."""
    if not present:
        return ""
    if field.type in _NUMBERS:
        # Digits only, as they are typed: "0.00001", never "1e-05".
        return f"{Decimal(repr(value)):f}"
    if field.type in _JSON:
        return _JSON_TEXT.sub(_plain_json, json.dumps(value, ensure_ascii=False))
    if field.type == "yes or no":
        return "yes" if value else "no"
    return guard(str(value)) if value else "'"


def guard(text: str) -> str:
    """Return ``text`` as a cell that no spreadsheet runs, wherever it divides the file.

    :func:`unguard` takes it back.
    """
    first, *rest = _BETWEEN.split(text)
    mark = "'" if _runs(first) or text.startswith(_FIRST) else ""
    return f"{mark}{first}" + "".join(f"'{part}" if _may_run(part) else part for part in rest)


def unguard(text: str) -> str:
    """Return what :func:`guard` was given."""
    first, *rest = _BETWEEN.split(text)
    kept = (part[1:] if part[0:1] == "'" and _may_run(part) else part for part in rest)
    return first.removeprefix("'") + "".join(kept)


def _runs(text: str) -> bool:
    seen = unicodedata.normalize("NFKC", first_seen(text.replace('"', "")))
    return seen != "" and seen[0] in _FORMULA


def _may_run(part: str) -> bool:
    """Tell whether a part of a cell runs, or would without apostrophes: those get one more."""
    return _runs(part.lstrip("'"))


def _plain_json(found: re.Match[str]) -> str:
    """Return a text in JSON with no formula in it; it reads as the same text."""
    text = found[0]
    if guard(text[1:-1]) == text[1:-1]:
        return text
    return "".join(f"\\u{ord(one):04x}" if _runs(one) else one for one in text)


def read_cell(text: str, field: Field) -> Any:
    """Return the value in a cell that is not empty; raises :class:`InputError`."""
    name = column(field.name)
    if field.type in _NUMBERS:
        return _number(text, field)
    if field.type in _JSON:
        try:
            return load(text.encode())
        except ValueError:
            raise InputError(
                message("“{column}” is not as PocketPump writes it: leave it alone.", column=name)
            ) from None
    if field.type == "yes or no":
        answer = {"yes": True, "true": True, "no": False, "false": False}.get(text.strip().lower())
        if answer is None:
            # Note: "yes" and "no" are written in English in the file.
            sentence = message(
                "“{column}” must be yes or no, not “{text}”.", column=name, text=shown(text)
            )
            raise InputError(sentence)
        return answer
    if field.type == "time":
        return f"{read_said_time(unguard(text)):%H:%M}"
    return unguard(text)


def _number(text: str, field: Field) -> float:
    """Return a number by the one rule for what is typed; below zero where the field may be."""
    cleaned = text.strip()
    lowest = field.low if field.above is None else field.above
    below = cleaned.startswith(("-", "\u2212")) and (lowest is None or lowest < 0)
    digits = cleaned[1:] if below else cleaned
    number = parse_number(digits, column(field.name))
    if digits.isdecimal() or (field.type == "whole number" and number == int(number)):
        number = int(number)
    return -number if below else number
