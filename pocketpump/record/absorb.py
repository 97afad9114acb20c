"""Sorting another copy's entries into what is new here and what is not: pure functions."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from pocketpump.core.errors import InputError, Problem
from pocketpump.record.checks import check_payload
from pocketpump.record.entries import Entry, canonical
from pocketpump.record.history import clash, first_of
from pocketpump.record.kinds import KINDS


@dataclass(frozen=True, slots=True)
class Absorbed:
    """What another copy's entries come to here.

    ``added`` are the entries that are new here, ``settled`` those that take the place of
    ours with the same id, ``known`` counts those already here, and ``problems`` tells of
    those that clash with ours or do not fit their kind.
    """

    added: tuple[Entry, ...]
    settled: tuple[Entry, ...]
    known: int
    problems: tuple[Problem, ...]


def sort_out(held: Mapping[str, Entry], entries: Iterable[Entry]) -> Absorbed:
    """Compare ``entries`` with those ``held`` by id. Nothing is written here.

    Of two entries with one id each copy keeps the same one, whichever way they are merged.
    An entry of a kind known here whose payload does not fit it is left out; a kind from a
    newer PocketPump is taken.
    """
    fresh: dict[str, Entry] = {}
    problems: list[Problem] = []
    known = 0
    for entry in entries:
        ours = fresh.get(entry.id) or held.get(entry.id)
        if ours is not None and canonical(ours) == canonical(entry):
            known += 1
            continue
        if ours is not None:
            problems.append(clash(entry.id))
        if not _fits(entry):
            problems.append(_unfit(entry.id))
        elif ours is None or first_of(ours, entry) is entry:
            fresh[entry.id] = entry
    added = tuple(entry for entry in fresh.values() if entry.id not in held)
    settled = tuple(entry for entry in fresh.values() if entry.id in held)
    return Absorbed(added, settled, known, tuple(problems))


def to_take_back(
    absorbed: Absorbed, held: Iterable[Entry], taken_back: Collection[str]
) -> list[str]:
    """Return the ids to remove so that what ``absorbed`` added no longer counts.

    Raises :class:`InputError` when nothing of it is left, or when something of it was
    corrected since: taking that back would take the person's own correction along.
    """
    # All of them, taken back already or not: what took one back may itself be among them.
    ids = [entry.id for entry in absorbed.added]
    brought = set(ids)
    if brought <= set(taken_back):
        raise InputError("There is nothing to take back; nothing was changed.")
    if any(entry.replaces in brought and entry.id not in brought for entry in held):
        raise InputError(
            "Some of what was brought in was corrected since, so nothing was changed; "
            "please remove what is wrong one by one."
        )
    return ids


def _fits(entry: Entry) -> bool:
    if entry.kind not in KINDS:
        return True
    try:
        check_payload(entry.kind, entry.payload)
    except InputError:
        return False
    return True


def _unfit(entry_id: str) -> Problem:
    sentence = "An entry to be brought in holds values that cannot be right, so it was left out."
    return Problem("unfit", sentence, (entry_id,))
