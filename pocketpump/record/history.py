"""What counts now, out of everything ever written: pure functions over entries.

Two rules, each a recursion on who refers to whom:

* an entry is **taken back** when a removal that is not itself taken back removes it;
* an entry is **superseded** when some entry that replaces it, directly or through further
  corrections, is not taken back.

Alive is what is neither. So taking back a correction brings the earlier one to light, and
taking back a removal brings back what it removed. Corrections of one thing on two devices
leave two ends of the same line: the newest by (written_at, id) is shown and a problem names
both. Everything is linear in the number of entries (plus one sort) and free of recursion.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pocketpump.core.errors import InputError, Problem
from pocketpump.record.entries import Entry, canonical, from_document


@dataclass(frozen=True, slots=True)
class Settled:
    """The outcome of :func:`settle`.

    ``alive`` is sorted by :func:`order`; ``taken_back`` and ``superseded`` are ids;
    ``line`` gives, for every id, the id of the first entry of its line of corrections.
    """

    alive: tuple[Entry, ...]
    taken_back: frozenset[str]
    superseded: frozenset[str]
    line: Mapping[str, str]
    problems: tuple[Problem, ...]


def order(entry: Entry) -> tuple[float, float, str]:
    """Return the sort key of entries: the instant spoken of, then of writing, then the id."""
    return entry.at.timestamp(), entry.written_at.timestamp(), entry.id


def alive(entries: Iterable[Entry]) -> tuple[tuple[Entry, ...], tuple[Problem, ...]]:
    """Return the entries that count now, removals among them, and what is odd about them."""
    settled = settle(entries)
    return settled.alive, settled.problems


def settle(entries: Iterable[Entry]) -> Settled:
    """Work out what counts now; see the module's text for the rules. Never raises."""
    by_id, problems = _one_each(entries)
    removes: dict[str, str] = {}
    replaces: dict[str, str] = {}
    for entry in by_id.values():
        link = entry.removes if entry.removes is not None else entry.replaces
        if link is None:
            continue
        if link in by_id:
            (replaces if entry.removes is None else removes)[entry.id] = link
        else:
            problems.append(_dangling(entry, link))

    taken_back = set[str]()
    order_of_removals, looped = _leaves_first(removes)
    for one in order_of_removals:
        if one not in taken_back:
            taken_back.add(removes[one])
    order_of_corrections, looped_too = _leaves_first(replaces)
    superseded = set[str]()
    for one in order_of_corrections:
        if one not in taken_back or one in superseded:
            superseded.add(replaces[one])
    line = dict(zip(by_id, by_id, strict=True))
    for one in reversed(order_of_corrections):
        line[one] = line[replaces[one]]

    loops = sorted({*looped, *looped_too})
    if loops:
        sentence = "Some entries refer to each other in a circle, so all of them are shown."
        problems.append(Problem("circle", sentence, tuple(loops)))
    for removal, target in removes.items():
        if removal not in taken_back and target in superseded:
            problems.append(_changed_and_removed(removal, target))
    overruled = _conflicts(by_id, line, taken_back | superseded, problems)
    hidden = taken_back | superseded | overruled
    shown = sorted((entry for entry in by_id.values() if entry.id not in hidden), key=order)
    problems.sort(key=lambda problem: (problem.code, problem.ids))
    return Settled(
        tuple(shown), frozenset(taken_back), frozenset(superseded), line, tuple(problems)
    )


def merge(a: Iterable[Entry], b: Iterable[Entry]) -> tuple[tuple[Entry, ...], tuple[Problem, ...]]:
    """Return the union of two sets of entries by id, sorted by :func:`order`, and problems.

    As to the entries, merging is associative, commutative and idempotent. When one id comes
    with two contents, the one whose :func:`canonical` text sorts first is kept.
    """
    by_id, problems = _one_each([*a, *b])
    return tuple(sorted(by_id.values(), key=order)), tuple(sorted(problems, key=_by_ids))


def read_documents(
    documents: Iterable[Mapping[str, Any]],
) -> tuple[dict[str, Entry], tuple[Problem, ...]]:
    """Return the entries that kept documents hold, by id, and what is odd about them."""
    entries: dict[str, Entry] = {}
    problems: list[Problem] = []
    unreadable = 0
    for document in documents:
        try:
            entry = from_document(document)
        except InputError:
            unreadable += 1
            continue
        held = entries.setdefault(entry.id, entry)
        if held is not entry and canonical(held) != canonical(entry):
            entries[entry.id] = first_of(held, entry)
            problems.append(clash(entry.id))
    if unreadable:
        sentence = (
            f"{unreadable} of the entries could not be understood and stay in the file; "
            "update PocketPump to see them."
        )
        problems.append(Problem("not understood", sentence))
    return entries, tuple(problems)


def first_of(held: Entry, other: Entry) -> Entry:
    """Return the one of two entries with the same id that every device will keep."""
    return min(held, other, key=canonical)


def clash(entry_id: str) -> Problem:
    """Return the problem that one id came with two contents."""
    sentence = "One entry exists with two different contents, so only one of them is shown."
    return Problem("same id", sentence, (entry_id,))


def _by_ids(problem: Problem) -> tuple[str, ...]:
    return problem.ids


def _one_each(entries: Iterable[Entry]) -> tuple[dict[str, Entry], list[Problem]]:
    by_id: dict[str, Entry] = {}
    clashes = set[str]()
    for entry in entries:
        held = by_id.setdefault(entry.id, entry)
        if held is not entry and canonical(held) != canonical(entry):
            by_id[entry.id] = first_of(held, entry)
            clashes.add(entry.id)
    return by_id, [clash(one) for one in sorted(clashes)]


def _leaves_first(link: Mapping[str, str]) -> tuple[list[str], list[str]]:
    """Order the referring ids so that each comes after all that refer to it; and the loops.

    Every id has at most one link, so what never becomes ready is exactly the circles.
    """
    waiting: dict[str, int] = dict.fromkeys(link, 0)
    for target in link.values():
        if target in waiting:
            waiting[target] += 1
    ordered = [one for one, count in waiting.items() if not count]
    for one in ordered:
        target = link[one]
        if target in waiting:
            waiting[target] -= 1
            if not waiting[target]:
                ordered.append(target)
    return ordered, [one for one, count in waiting.items() if count]


def _conflicts(
    by_id: Mapping[str, Entry],
    line: Mapping[str, str],
    hidden: set[str],
    problems: list[Problem],
) -> set[str]:
    """Return the ids overruled by a newer end of the same line, and note each conflict."""
    ends: dict[str, list[Entry]] = {}
    for one, first in line.items():
        if one not in hidden:
            ends.setdefault(first, []).append(by_id[one])
    overruled = set[str]()
    for rivals in ends.values():
        if len(rivals) > 1:
            newest = max(rivals, key=lambda entry: (entry.written_at, entry.id))
            overruled |= {entry.id for entry in rivals} - {newest.id}
            sentence = "One entry was corrected in two ways, so the newest correction is shown."
            ids = tuple(sorted(entry.id for entry in rivals))
            problems.append(Problem("conflict", sentence, ids))
    return overruled


def _dangling(entry: Entry, link: str) -> Problem:
    sentence = "An entry refers to one that is not in this record, so it stands by itself."
    return Problem("missing entry", sentence, tuple(sorted((entry.id, link))))


def _changed_and_removed(removal: str, target: str) -> Problem:
    sentence = "An entry was both corrected and removed, so the correction is still shown."
    return Problem("corrected and removed", sentence, tuple(sorted((removal, target))))
