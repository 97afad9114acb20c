"""What counts now, out of everything ever written: pure functions over entries.

Two rules, each a recursion on who refers to whom:

* an entry is **taken back** when a removal that is not itself taken back removes it;
* an entry is **superseded** when some entry that replaces it, directly or through further
  corrections, is not taken back.

Alive is what is neither. So taking back a correction brings the earlier one to light, and
taking back a removal brings back what it removed. Corrections of one thing on two devices
leave two ends of the same line: the newest is shown (see `precedence`) and a problem names
both. Two contents of one id (see `split_conflict`) stand side by side in the same line: what
corrects one of them corrects all, and a removal takes just its own. Everything is linear in the
number of entries (plus one sort) and free of recursion.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from pocketpump.core.errors import InputError, Problem
from pocketpump.core.messages import message, plural_message
from pocketpump.record.entry.entries import Entry, bare, from_document
from pocketpump.record.history.split_conflict import first_ids, put


@dataclass(frozen=True, slots=True)
class Resolved:
    """The outcome of :func:`resolve`.

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


def precedence(entry: Entry) -> tuple[datetime, str, str]:
    """Return the sort key by which the last of several ends of one line is the one shown.

    Of those written at once what they say decides, not the id: the id of a content changes
    when it is put apart, and what is shown must not change with it.
    """
    return entry.written_at, bare(entry), entry.id


def resolve(entries: Iterable[Entry]) -> Resolved:
    """Work out what counts now; see the module's text for the rules. Never raises."""
    by_id = _one_each(entries)
    problems: list[Problem] = []
    beside = first_ids(by_id)
    removes: dict[str, str] = {}
    replaces: dict[str, str] = {}
    for entry in by_id.values():
        link = entry.removes if entry.removes is not None else entry.replaces
        if link is None or entry.id in beside:
            continue
        if link not in by_id:
            problems.append(_dangling(entry, link))
        elif entry.removes is not None:
            removes[entry.id] = link
        else:
            replaces[entry.id] = beside.get(link, link)

    taken_back = set[str]()
    order_of_removals, looped = _leaves_first(removes)
    for one in order_of_removals:
        if one not in taken_back:
            taken_back.add(removes[one])
    order_of_corrections, looped_too = _leaves_first(replaces)
    stands_beside = {beside[one] for one in beside if one not in taken_back}
    superseded = set[str]()
    for one in order_of_corrections:
        if one not in taken_back or one in superseded or one in stands_beside:
            superseded.add(replaces[one])
    superseded |= {one for one, first in beside.items() if first in superseded}
    line = dict(zip(by_id, by_id, strict=True))
    for one in reversed(order_of_corrections):
        line[one] = line[replaces[one]]
    line |= {one: line[first] for one, first in beside.items()}

    loops = sorted({*looped, *looped_too})
    if loops:
        sentence = message(
            "Some entries refer to each other in a circle, so all of them are shown."
        )
        problems.append(Problem("circle", sentence, tuple(loops)))
    for removal, target in removes.items():
        if removal not in taken_back and target in superseded:
            problems.append(_changed_and_removed(removal, target))
    overruled = _conflicts(by_id, line, beside, taken_back | superseded, problems)
    hidden = taken_back | superseded | overruled
    shown = sorted(
        (
            _with_first(entry, by_id[line[entry.id]])
            for entry in by_id.values()
            if entry.id not in hidden
        ),
        key=order,
    )
    problems.sort(key=lambda problem: (problem.code, problem.ids))
    return Resolved(
        tuple(shown), frozenset(taken_back), frozenset(superseded), line, tuple(problems)
    )


def _with_first(entry: Entry, first: Entry) -> Entry:
    return entry if first is entry else replace(entry, first_written_at=first.written_at)


def read_documents(
    documents: Iterable[Mapping[str, Any]],
) -> tuple[dict[str, Entry], tuple[Problem, ...]]:
    """Return the entries that kept documents hold, by id, and what is odd about them."""
    entries: dict[str, Entry] = {}
    problems: tuple[Problem, ...] = ()
    unreadable = 0
    for document in documents:
        try:
            entry = from_document(document)
        except InputError:
            unreadable += 1
            continue
        put(entries, entry)
    if unreadable:
        sentence = plural_message(
            "{count} of the entries could not be understood and stay in the file; "
            "update PocketPump to see them.",
            "{count} of the entries could not be understood and stay in the file; "
            "update PocketPump to see them.",
            unreadable,
        )
        problems = (Problem("not understood", sentence),)
    return entries, problems


def _one_each(entries: Iterable[Entry]) -> dict[str, Entry]:
    by_id: dict[str, Entry] = {}
    for entry in entries:
        put(by_id, entry)
    return by_id


def _clash(ids: tuple[str, ...]) -> Problem:
    sentence = message(
        "One entry exists with two different contents, so only one of them is shown."
    )
    return Problem("same id", sentence, ids)


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
    beside: Mapping[str, str],
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
            newest = max(rivals, key=precedence)
            overruled |= {entry.id for entry in rivals} - {newest.id}
            ids = tuple(sorted(entry.id for entry in rivals))
            problems.append(_clash(ids) if _one_id(ids, beside) else _two_ways(ids))
    return overruled


def _one_id(ids: Iterable[str], beside: Mapping[str, str]) -> bool:
    return len({beside.get(one, one) for one in ids}) == 1


def _two_ways(ids: tuple[str, ...]) -> Problem:
    sentence = message("One entry was corrected in two ways, so the newest correction is shown.")
    return Problem("conflict", sentence, ids)


def _dangling(entry: Entry, link: str) -> Problem:
    sentence = message("An entry refers to one that is not in this record, so it stands by itself.")
    return Problem("missing entry", sentence, tuple(sorted((entry.id, link))))


def _changed_and_removed(removal: str, target: str) -> Problem:
    sentence = message("An entry was both corrected and removed, so the correction is still shown.")
    return Problem("corrected and removed", sentence, tuple(sorted((removal, target))))
