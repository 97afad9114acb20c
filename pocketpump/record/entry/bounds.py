"""How deep and how large what comes in may be, found out before it is taken apart.

Python's JSON reader and every walk over its values go one call deeper for each bracket. In a
browser the stack is small, and running over it ends Python for good; so brackets are counted on
the bytes first. All limits are own rules, on the safe side; no source.
"""

import json
import re
from collections.abc import Mapping
from datetime import datetime
from itertools import accumulate
from typing import Any

from pocketpump.core.units.instants import FIRST_KEPT_YEAR, LAST_KEPT_YEAR

DEEPEST = 20
"""Objects and lists within each other in one entry at most; those written today have seven."""
LARGEST_ENTRY = 1_000_000
"""Characters of all texts in one entry at most; a saved paper has 410,000."""
MOST_VALUES = 20_000
"""Values in one entry at most; a week of dose steps at every minute has no use for more."""
RECORD_BYTES = 224 * 1024 * 1024
RECORD_PARTS = 2_500_000
"""How many bytes and parts (:func:`parts_in`) a record may come to, as a backup writes it, when
entries of others come in. A backup may hold more: the difference is for what is noted by hand."""
LARGEST_NUMBER = 1e15
LONGEST_NAME = 200
"""Characters of an id or of the name of a kind at most."""
UNREADABLE = "unreadable"
"""The one name in what stands for an entry that nests too deeply: its own text follows, kept."""

_AROUND = 8
# A text in JSON, also one that never ends; possessive, so that reading it again is never tried.
_TEXT = rb'"[^"\\]*+(?:\\.[^"\\]*+)*+"?'
_TEXTS = re.compile(_TEXT, re.DOTALL)
_MARKS = re.compile(_TEXT + rb"|[\[\]{}]", re.DOTALL)
_NO_BRACKET = bytes(set(range(256)) - set(b"[]{}"))
_STEP = {ord("["): 1, ord("{"): 1, ord("]"): -1, ord("}"): -1}


class Room:
    """What still fits into a record; ``bytes`` and ``parts`` are what is in it already."""

    def __init__(self) -> None:
        self.bytes = self.parts = 0

    def take(self, text: bytes) -> bool:
        """Take in an entry, as its JSON text; return whether the record may still hold it."""
        # And the comma and the end of the line before the next one.
        self.bytes += len(text) + 2
        self.parts += parts_in(text) + 1
        return self.bytes <= RECORD_BYTES and self.parts <= RECORD_PARTS


def parts_in(data: bytes) -> int:
    """Return how many objects, lists and values JSON text can hold at most, by its bytes alone."""
    return sum(map(data.count, (b",", b"[", b"{")))


def depth(data: bytes) -> int:
    """Return how many objects and lists are open at once in JSON text, at most.

    Brackets within texts do not count. Linear, whatever the bytes are.
    """
    brackets = _TEXTS.sub(b"", data).translate(None, _NO_BRACKET)
    return max(accumulate(map(_STEP.__getitem__, brackets)), default=0)


def is_shallow(data: bytes) -> bool:
    """Tell whether nothing in JSON text can be an entry that nests too deeply."""
    # Counting all brackets first: most of what is read has too few to nest deeply.
    return data.count(b"[") + data.count(b"{") <= DEEPEST or depth(data) <= DEEPEST


def load(data: bytes, level: int = 1) -> Any:
    """Return the JSON value in ``data`` (UTF-8), never nested deeper than can be walked.

    An entry that opens as the ``level``-th of the objects and lists around it and nests deeper
    than :data:`DEEPEST` comes back as one text under :data:`UNREADABLE`, so that it is no entry
    but nothing of it is lost. Raises ``ValueError`` when it is no JSON or too deep elsewhere.
    """
    if not is_shallow(data):
        data = _without_deep(data, level)
        if depth(data) > DEEPEST + _AROUND:
            raise ValueError("nested too deeply")
    return json.loads(data.decode("utf-8"))


def _without_deep(data: bytes, level: int) -> bytes:
    """Return ``data`` with each too deep entry at ``level`` written as a text."""
    kept: list[bytes] = []
    now = start = done = deepest = 0
    for mark in _MARKS.finditer(data):
        step = _STEP.get(mark[0][0], 0)
        now += step
        if step > 0 and now == level:
            start, deepest = mark.start(), now
        deepest = max(deepest, now)
        if step < 0 and now == level - 1 and deepest - level >= DEEPEST:
            text = data[start : mark.end()].decode("utf-8", errors="replace")
            kept += [data[done:start], json.dumps({UNREADABLE: text}).encode()]
            done, deepest = mark.end(), now
    return b"".join((*kept, data[done:]))


def of_the_record(instant: datetime) -> bool:
    """Tell whether an entry of an aware instant is kept: from 1900 to 2200 on its own clock."""
    return FIRST_KEPT_YEAR <= instant.year <= LAST_KEPT_YEAR


def is_bounded(value: Any, level: int = 1) -> bool:
    """Tell whether JSON ``value`` can be walked, written down and read again.

    It opens as the ``level``-th of the objects and lists of its entry. False when it is nested
    too deeply, holds too many values, too long texts, a number that is none or beyond
    :data:`LARGEST_NUMBER`, half a character, or what is no JSON at all.
    """
    waiting: list[tuple[Any, int]] = [(value, level)]
    values = letters = 0
    while waiting:
        one, deep = waiting.pop()
        values += 1
        if isinstance(one, str):
            letters += len(one)
            if not _is_whole(one):
                return False
        elif isinstance(one, (int, float)):
            # Not math.isfinite, which cannot take a whole number of 400 digits.
            if not abs(one) <= LARGEST_NUMBER:
                return False
        elif isinstance(one, (Mapping, list, tuple)):
            parts = [*one, *one.values()] if isinstance(one, Mapping) else one
            if deep > DEEPEST or values + len(waiting) + len(parts) > MOST_VALUES:
                return False
            waiting.extend((part, deep + 1) for part in parts)
        elif one is not None:
            return False
        if letters > LARGEST_ENTRY:
            return False
    return True


def is_name(text: str) -> bool:
    """Tell whether ``text`` is short and whole enough to be an id or the name of a kind."""
    return 0 < len(text) <= LONGEST_NAME and _is_whole(text)


def _is_whole(text: str) -> bool:
    return text.isascii() or not any("\ud800" <= letter <= "\udfff" for letter in text)
