"""Sorting another copy's entries into what is new here and what is not: pure functions."""

import re
from collections import ChainMap
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from pocketpump.core.errors import InputError, Problem
from pocketpump.core.messages import message
from pocketpump.record.entry.bounds import Room, of_the_record
from pocketpump.record.entry.checks import is_fit
from pocketpump.record.entry.entries import Entry, bare, canonical
from pocketpump.record.entry.kinds import KINDS
from pocketpump.record.history.history import resolve
from pocketpump.record.history.split_conflict import first_ids, is_apart, put

_ZONE = re.compile(r"(?:[A-Za-z][A-Za-z0-9_+/-]{0,63})?")


@dataclass(frozen=True, slots=True)
class SortedImport:
    """What another copy's entries come to here.

    ``added`` are the entries that are new here, ``settled`` those that take over an id of
    ours with another content (ours is then among ``added``, kept apart, and named in
    ``ours``), ``known`` counts those already here, and ``problems`` tells of those that do
    not fit their kind.
    """

    added: tuple[Entry, ...]
    settled: tuple[Entry, ...]
    known: int
    problems: tuple[Problem, ...]
    ours: frozenset[str] = frozenset()


def sort_import(held: Mapping[str, Entry], entries: Iterable[Entry]) -> SortedImport:
    """Compare ``entries`` with those ``held`` by id. Nothing is written here.

    Of two contents of one id each copy keeps both, and lets the same one keep the id; see
    :mod:`pocketpump.record.history.split_conflict`. An entry of a kind known here that does not fit
    it is left out, and so is one whose zone cannot be one; a kind from a newer PocketPump is taken.

    Raises :class:`InputError` when all of it together is more than a backup could hold.
    """
    fresh: dict[str, Entry] = {}
    both = ChainMap(fresh, dict(held))
    problems: list[Problem] = []
    known = 0
    for entry in entries:
        if not _fits(entry):
            ours = held.get(entry.id)
            if ours is not None and canonical(ours) == canonical(entry):
                known += 1
            else:
                problems.append(_unfit(entry.id))
        elif not put(both, entry):
            known += 1
    _look_for_room(held, fresh)
    added = tuple(entry for entry in fresh.values() if entry.id not in held)
    settled = tuple(entry for entry in fresh.values() if entry.id in held)
    displaced = {bare(held[entry.id]) for entry in settled}
    kept = frozenset(one.id for one in added if is_apart(one) and bare(one) in displaced)
    return SortedImport(added, settled, known, tuple(problems), kept)


def to_take_back(imported: SortedImport, held: Sequence[Entry]) -> list[str]:
    """Return the ids to remove so that what ``imported`` brought no longer counts.

    ``held`` are all entries in the order in which they came here. Of an id with two contents
    only theirs goes, under whichever id it is kept. Raises :class:`InputError` when nothing of
    it is left, or when something of it was corrected since: taking that back would take the
    person's own correction along.
    """
    added = {entry.id for entry in imported.added}
    # What the person had taken back without the copy keeps away under its new id too.
    away = resolve(entry for entry in held if entry.id not in added).taken_back
    taken_over = [one.id for one in imported.settled if one.id not in away]
    firsts = first_ids({entry.id: entry for entry in (*held, *imported.added)})
    staying = {one for one in imported.ours if firsts[one] in taken_over}
    # All of the others, taken back already or not: what took one back may be among them.
    ids = [*(entry.id for entry in imported.added if entry.id not in staying), *taken_over]
    brought = set(ids)
    if brought <= resolve(held).taken_back:
        raise InputError(message("There is nothing to take back; nothing was changed."))
    if any(entry.replaces in brought for entry in _since(added, held)):
        raise InputError(
            message(
                "Some of what was brought in was corrected since, so nothing was changed; "
                "please remove what is wrong one by one."
            )
        )
    return ids


def _look_for_room(held: Mapping[str, Entry], fresh: Mapping[str, Entry]) -> None:
    if not fresh:
        return
    room = Room()
    fits = True
    for entry in (*held.values(), *fresh.values()):
        fits = room.take(entry.line)
    if not fits:
        raise InputError(
            message(
                "Together with what is here this would be more than one backup file can hold, so"
                " nothing was brought in. Keep this copy as a file of its own."
            )
        )


def _since(came: Collection[str], held: Iterable[Entry]) -> list[Entry]:
    """Return what was written after the last of those that ``came``."""
    since: list[Entry] = []
    for entry in held:
        if entry.id in came:
            since.clear()
        else:
            since.append(entry)
    return since


def _fits(entry: Entry) -> bool:
    # Its shape alone: a newer list of zones than ours may know more names.
    if not _ZONE.fullmatch(entry.zone):
        return False
    if not (of_the_record(entry.at) and of_the_record(entry.written_at)):
        return False  # it would not be read again
    return entry.kind not in KINDS or is_fit(entry.kind, entry.payload)


def _unfit(entry_id: str) -> Problem:
    sentence = message(
        "An entry to be brought in holds values that cannot be right, so it was left out."
    )
    return Problem("unfit", sentence, (entry_id,))
