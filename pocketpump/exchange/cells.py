"""One cell of a table: how a value is written there, and read by the rules for what is typed."""

import json
import unicodedata
from decimal import Decimal
from typing import Any

from pocketpump.core.errors import InputError, shown
from pocketpump.core.letters import first_seen
from pocketpump.core.quantity import parse_number
from pocketpump.core.wording import worded
from pocketpump.record.bounds import load
from pocketpump.record.field_words import column
from pocketpump.record.kinds import Field

# A spreadsheet may run a cell that begins so as a formula, also behind blanks and marks that it
# drops, and in full width: OWASP, CSV Injection. The apostrophe makes it plain text.
_FORMULA = "=+-@\u2212"
_FIRST = ("'", "\t", "\r", "\n")
_NUMBERS = ("number", "whole number")
_JSON = ("texts", "whole numbers", "dates", "object", "stops", "single value")


def write_cell(value: Any, field: Field, present: bool) -> str:
    """Return the text of one value; "" for one that is not there, an apostrophe for no letters."""
    if not present:
        return ""
    if field.type in _NUMBERS:
        # Digits only, as they are typed: "0.00001", never "1e-05".
        return f"{Decimal(repr(value)):f}"
    if field.type in _JSON:
        return json.dumps(value, ensure_ascii=False)
    if field.type == "yes or no":
        return "yes" if value else "no"
    return guard(str(value)) if value else "'"


def guard(text: str) -> str:
    """Return ``text`` as a cell that no spreadsheet runs; :func:`unguard` takes it back."""
    seen = unicodedata.normalize("NFKC", first_seen(text))
    runs = seen != "" and seen[0] in _FORMULA
    return f"'{text}" if runs or text.startswith(_FIRST) else text


def unguard(text: str) -> str:
    """Return what :func:`guard` was given."""
    return text.removeprefix("'")


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
                worded("“{column}” is not as PocketPump writes it: leave it alone.", column=name)
            ) from None
    if field.type == "yes or no":
        answer = {"yes": True, "true": True, "no": False, "false": False}.get(text.strip().lower())
        if answer is None:
            # Note: "yes" and "no" are written in English in the file.
            sentence = worded(
                "“{column}” must be yes or no, not “{text}”.", column=name, text=shown(text)
            )
            raise InputError(sentence)
        return answer
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
