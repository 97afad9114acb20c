"""What of the entries that count can be read: asked once, for everything that shows them.

An entry written here is always readable. One from a damaged file or another program may hold
anything, so each is held against the table of its kind before any screen, page or calculation
sees it. What is optional and cannot be read is left out alone; where something needed cannot be
read, the whole entry is left out. Either way it stays in the file and in backups, and is told of
with the way to mend it. Kinds and fields of a newer PocketPump are passed over as they are.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pocketpump.core.errors import Problem
from pocketpump.core.messages import message
from pocketpump.core.units.instants import date_text, is_of_our_time
from pocketpump.record.entry.checks import must_be
from pocketpump.record.entry.entries import Entry
from pocketpump.record.entry.field_labels import label
from pocketpump.record.entry.frozen import FrozenDict
from pocketpump.record.entry.kinds import IN_ORDER, KINDS, REMOVAL, Field

UNREADABLE = "unreadable"
"""The code of the problem that a whole entry is left out."""
PARTLY = "partly unreadable"
"""The code of the problem that single values of an entry are left out."""


@dataclass(frozen=True, slots=True)
class Unread:
    """An entry that could not be read as it is.

    ``entry`` is what was written; ``kept`` is what of it can be shown, None when nothing;
    ``problems`` say so in a sentence each.
    """

    entry: Entry
    kept: Entry | None
    problems: tuple[Problem, ...]


def readable(entries: Iterable[Entry]) -> tuple[tuple[Entry, ...], tuple[Unread, ...]]:
    """Return what of ``entries`` can be shown and computed with, in the order given, and the rest.

    Every value of a known kind and field in the first is of its type and within its bounds.
    """
    kept: list[Entry] = []
    unread: list[Unread] = []
    for entry in entries:
        odd = unread_in(entry)
        if odd is not None:
            unread.append(odd)
        shown = entry if odd is None else odd.kept
        if shown is not None:
            kept.append(shown)
    return tuple(kept), tuple(unread)


def unread_in(entry: Entry) -> Unread | None:
    """Return what of ``entry`` cannot be read; None when all can."""
    tests = _TESTS.get(entry.kind)
    if tests is None:
        return None
    if entry.kind in _CANNOT_BE_READ and not is_of_our_time(entry.at):
        # At the ends of the calendar no date can be counted on from it.
        return _whole(entry)
    payload: Mapping[str, Any] = entry.payload
    wrong = [name for name, value in payload.items() if name in tests and not tests[name](value)]
    required = _REQUIRED[entry.kind]
    if not all(name in payload and name not in wrong for name in required):
        return _whole(entry)
    first, second = IN_ORDER.get(entry.kind, ("", ""))
    if first and payload[first] > payload[second]:
        return _whole(entry)
    if not wrong:
        return None
    rest = FrozenDict({name: value for name, value in payload.items() if name not in wrong})
    problems = tuple(Problem(PARTLY, _left_out(entry, name), (entry.id,)) for name in wrong)
    return Unread(entry, replace(entry, payload=rest), problems)


def _whole(entry: Entry) -> Unread:
    sentence = _CANNOT_BE_READ[entry.kind](date_text(entry.at.date()))
    return Unread(entry, None, (Problem(UNREADABLE, sentence, (entry.id,)),))


def _left_out(entry: Entry, name: str) -> str:
    return message(
        "“{name}” noted for {day} cannot be read and is left out: look at it again.",
        name=label(name),
        day=date_text(entry.at.date()),
    )


# Of every kind that needs something; the others can only be read in part.
_CANNOT_BE_READ: Mapping[str, Callable[[str], str]] = {
    "pump": lambda day: message(
        "A pump of {day} cannot be read and does not count: enter it again, then remove this one.",
        day=day,
    ),
    "refill": lambda day: message(
        "A refill of {day} cannot be read and does not count: enter it again, then remove this"
        " one.",
        day=day,
    ),
    "programme": lambda day: message(
        "A dose setting of {day} cannot be read and does not count: enter it again, then remove"
        " this one.",
        day=day,
    ),
    "clinic days": lambda day: message(
        "The clinic days of {day} cannot be read: enter them again, or remove these.", day=day
    ),
    "visit": lambda day: message(
        "A visit noted on {day} cannot be read: note it again, then remove this one.", day=day
    ),
    "check-in": lambda day: message("A check-in of {day} cannot be read: remove it.", day=day),
    "happening": lambda day: message(
        "What happened on {day} cannot be read: note it again, or remove it.", day=day
    ),
    "measure": lambda day: message("A measure of {day} cannot be read: remove it.", day=day),
    "contact": lambda day: message(
        "A number to call, noted on {day}, cannot be read: enter it again, or remove it.", day=day
    ),
    "plan": lambda day: message(
        "The clinic's plan of {day} cannot be read: enter it again, or remove it.", day=day
    ),
    "trip": lambda day: message(
        "A trip planned on {day} cannot be read: plan it again, or remove it.", day=day
    ),
    "attachment": lambda day: message("A paper kept on {day} cannot be read: remove it.", day=day),
    "question": lambda day: message(
        "A question of {day} cannot be read: write it again, or remove it.", day=day
    ),
    "preference": lambda day: message(
        "A choice made on {day} cannot be read: choose again, or remove it.", day=day
    ),
    "backup": lambda day: message(
        "The note of a backup on {day} cannot be read: remove it.", day=day
    ),
}


_Test = Callable[[Any], bool]


def _test_of(field: Field) -> _Test:
    """Return whether a value fits ``field``: first by a quick look, then by the checks' own.

    Ten years of entries are asked at every start, so what nearly all of them hold is told quickly.
    """
    if field.type in ("number", "whole number"):
        return _number_test(field)
    if field.type == "base64":
        # Taking each photo apart would take its time; it is done where one is shown.
        return lambda value: type(value) is str and len(value) <= field.longest
    return lambda value: not must_be(value, field, kept=True)


def _number_test(field: Field) -> _Test:
    types = (int,) if field.type == "whole number" else (int, float)
    low = float("-inf") if field.low is None else field.low
    high = float("inf") if field.high is None else field.high
    above = float("-inf") if field.above is None else field.above
    # No number compares with what is none.
    return lambda value: type(value) in types and low <= value <= high and value > above


_TESTS: Mapping[str, Mapping[str, _Test]] = {
    kind: {field.name: _test_of(field) for field in fields}
    for kind, fields in KINDS.items()
    if kind != REMOVAL
}
_REQUIRED: Mapping[str, tuple[str, ...]] = {
    kind: tuple(field.name for field in fields if field.required) for kind, fields in KINDS.items()
}
