"""What another copy would bring, told before anything is written.

Bringing in is the union of two sets of entries: nothing here is ever deleted. But an entry of
the other copy may correct or remove one that counts here, so what would look different
afterwards is part of what is told.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any

from pocketpump.core.errors import InputError, Problem, shown
from pocketpump.core.messages import joined, localized_number, message, plural_message
from pocketpump.core.pump.programme_payload import programme_from_payload
from pocketpump.core.pump.programme_text import describe_programme
from pocketpump.core.units.instants import date_text
from pocketpump.exchange.backup.backup import BackupError, refuse_larger, refuse_more
from pocketpump.record import Entry, Files, MemoryFiles, Record
from pocketpump.record.entry.entries import bare
from pocketpump.record.entry.field_labels import label
from pocketpump.record.entry.kinds import REMOVAL
from pocketpump.record.facts.situation import has_begun
from pocketpump.record.history.history import precedence, resolve
from pocketpump.record.history.import_entries import SortedImport, sort_import

_COUNTED: Mapping[str, Callable[[int], str]] = {
    "pump": lambda n: plural_message("pump", "pumps", n),
    "refill": lambda n: plural_message("refill", "refills", n),
    # Note: a visit at the clinic that is booked.
    "visit": lambda n: plural_message("visit", "visits", n),
    # Note: how the pump has been told to deliver.
    "programme": lambda n: plural_message("dose setting", "dose settings", n),
    "check-in": lambda n: plural_message("check-in", "check-ins", n),
    "happening": lambda n: plural_message("happening", "happenings", n),
    # Note: a measured value: a timed walk, a distance.
    "measure": lambda n: plural_message("measure", "measures", n),
    "contact": lambda n: plural_message("contact", "contacts", n),
    # Note: what the clinic said to do in an emergency.
    "plan": lambda n: plural_message("plan", "plans", n),
    "question": lambda n: plural_message("question", "questions", n),
    "trip": lambda n: plural_message("trip", "trips", n),
    "care": lambda n: plural_message(
        "version of the care details", "versions of the care details", n
    ),
    "device": lambda n: plural_message("reading of the device", "readings of the device", n),
    # Note: a photo or scan of the clinic's papers.
    "attachment": lambda n: plural_message("paper", "papers", n),
    "clinic days": lambda n: plural_message(
        "setting of the clinic's days", "settings of the clinic's days", n
    ),
    "preference": lambda n: plural_message("preference", "preferences", n),
    "backup": lambda n: plural_message("note of a backup", "notes of backups", n),
    REMOVAL: lambda n: plural_message("removal", "removals", n),
}
WORDS: Mapping[str, tuple[str, str]] = {
    kind: (counted(1), counted(2)) for kind, counted in _COUNTED.items()
}
"""One and several of each kind, as the screens say it."""
_LONGEST = 120
"""Letters of one value in a sentence: a scan's own are thousands."""


@dataclass(frozen=True, slots=True)
class Preview:
    """What bringing in a copy comes to.

    ``imported`` is what would be written; ``counts`` how many entries of each kind would count
    that do not now, in words; ``history`` how many are earlier versions and removals;
    ``vanishing`` the entries that count here now and would no longer; ``changing`` those that
    would be shown in a corrected version; ``conflicts`` every oddity that is new, in words;
    ``stranger`` is true when both hold entries, not only preferences, and share none, so that it
    could be another person's record.
    """

    imported: SortedImport
    counts: tuple[tuple[str, int], ...]
    history: int
    vanishing: tuple[Entry, ...]
    changing: tuple[Entry, ...]
    conflicts: tuple[str, ...]
    stranger: bool

    @property
    def adds(self) -> int:
        """How many entries would be written."""
        return len(self.imported.added) + len(self.imported.settled)


def preview(held: Iterable[Entry], other: Iterable[Entry], zone: tzinfo) -> Preview:
    """Return what bringing ``other`` into ``held`` comes to; days are told in ``zone``."""
    ours = {entry.id: entry for entry in held}
    theirs = tuple(other)
    imported = sort_import(ours, theirs)
    new = (*imported.added, *imported.settled)
    both = {**ours, **{entry.id: entry for entry in new}}
    before, after = resolve(ours.values()), resolve(both.values())
    shown = {entry.id for entry in after.alive}
    lines = {after.line[entry.id] for entry in after.alive}
    counted = {entry.id for entry in before.alive}
    coming = [one for one in after.alive if one.id not in counted and one.kind != REMOVAL]
    said = {(after.line[one.id], bare(one)) for one in after.alive}
    gone = [
        entry
        for entry in before.alive
        # What counts is what is said: of two contents of one id, either may have kept the id.
        if entry.kind != REMOVAL and (after.line[entry.id], bare(entry)) not in said
    ]
    known_problems = set(before.problems)
    odd = [problem for problem in after.problems if problem not in known_problems]
    return Preview(
        imported=imported,
        counts=count_kinds(coming),
        history=sum(one.id not in shown or one.kind == REMOVAL for one in new),
        vanishing=tuple(entry for entry in gone if after.line[entry.id] not in lines),
        changing=tuple(entry for entry in gone if after.line[entry.id] in lines),
        conflicts=tuple(explain(problem, both, zone) for problem in (*odd, *imported.problems)),
        stranger=has_begun(ours.values())
        and has_begun(theirs)
        and not ours.keys() & {entry.id for entry in theirs},
    )


def count_kinds(entries: Iterable[Entry]) -> tuple[tuple[str, int], ...]:
    """Return how many entries of each kind, in words and in the order of :data:`WORDS`."""
    counted = Counter(entry.kind for entry in entries)
    known = [(kind, counted.pop(kind)) for kind in WORDS if kind in counted]
    told = [(_COUNTED[kind](number), number) for kind, number in known]
    rest = counted.total()
    return (*told, *(((message("other entries"), rest),) if rest else ()))


def name_of(entry: Entry, zone: tzinfo) -> str:
    """Return the words that name one entry: ``refill of Thu 26 Feb 2026``."""
    newer = message("entry of a newer kind")
    what = WORDS[entry.kind][0] if entry.kind in WORDS else newer
    day = date_text(entry.at.astimezone(zone).date())
    # Note: like "refill of Thu 26 Feb 2026".
    return message("{kind} of {day}", kind=what, day=day)


def explain(problem: Problem, entries: Mapping[str, Entry], zone: tzinfo) -> str:
    """Return the problem in words that name the entries and what differs between them."""
    known = [entries[one] for one in problem.ids if one in entries]
    if not known:
        return problem.sentence
    if problem.code in ("conflict", "same id"):
        known.sort(key=precedence)
        newest, others = known[-1], known[:-1]
        differs = joined("; ", filter(None, (_difference(newest, other) for other in others)))
        name = name_of(newest, zone)
        what = (
            message("The {entry} was corrected in two ways.", entry=name)
            if problem.code == "conflict"
            else message("The {entry} has two contents.", entry=name)
        )
        if others[-1].written_at == newest.written_at:
            which = (
                message(
                    "Both were written at once, and one of them is shown ({difference}).",
                    difference=differs,
                )
                if differs
                else message("Both were written at once, and one of them is shown.")
            )
        else:
            day = date_text(newest.written_at.astimezone(zone).date())
            which = (
                message(
                    "The one written last, on {day}, is shown ({difference}).",
                    day=day,
                    difference=differs,
                )
                if differs
                else message("The one written last, on {day}, is shown.", day=day)
            )
        return joined(" ", (what, which))
    named = message("It is the {entry}.", entry=name_of(known[0], zone))
    return joined(" ", (problem.sentence, named))


def found_in(files: Mapping[str, bytes]) -> tuple[tuple[Entry, ...], tuple[Problem, ...]]:
    """Return the entries of another record's files, only read, and what was odd about these.

    Raises :class:`BackupError` when there is no record among them, or more than a record can
    hold, and what :meth:`Record.open` raises.
    """
    copy: Files = MemoryFiles()
    for name, data in files.items():
        refuse_larger(data)
        refuse_more(data)
        copy.append(name, data)
    with Record.open(copy) as record:
        entries, problems = record.entries, record.problems
    if not entries:
        raise BackupError(message("There is no PocketPump record there; choose another place."))
    return entries, problems


def _difference(newest: Entry, other: Entry) -> str:
    names = [name for name in {**newest.payload, **other.payload}
             if newest.payload.get(name) != other.payload.get(name)]  # fmt: skip
    told = [
        # Note: like "filled (mL) 20, not 18": what is shown, and what the other one says.
        message(
            "{name} {shown}, not {other}",
            name=label(n),
            shown=_value(newest, n),
            other=_value(other, n),
        )
        for n in names
    ]
    if newest.at != other.at:
        # Note: two instants.
        at = message(
            "{shown}, not {other}",
            shown=f"{newest.at:%Y-%m-%d %H:%M}",
            other=f"{other.at:%Y-%m-%d %H:%M}",
        )
        told.insert(0, at)
    return joined(", ", told)


def _value(entry: Entry, name: str) -> str:
    value: Any = entry.payload.get(name)
    if name == "programme":
        with suppress(InputError, KeyError, TypeError, ValueError):
            return describe_programme(programme_from_payload(value))
    return _told(value)


def _told(value: Any) -> str:
    if value is None:
        # Note: nothing is written there.
        return message("empty")
    if isinstance(value, bool):
        return message("yes") if value else message("no")
    if isinstance(value, float):
        return localized_number(f"{value:g}")
    if isinstance(value, (list, tuple)):
        # Note: an empty list.
        none = message("none")
        # Note: between the items of a list.
        return joined(message(" and "), map(_told, value)) or none
    if isinstance(value, Mapping):
        return joined(
            ", ",
            (joined(" ", (label(str(name)), _told(part))) for name, part in value.items()),
        )
    return shown(str(value), _LONGEST)
