"""Is the record whole? And what a helper may be told about it without reading it."""

import json
import platform
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from pocketpump import __version__
from pocketpump.core.errors import Problem
from pocketpump.core.messages import message
from pocketpump.core.pump.duplicates import duplicate_problems
from pocketpump.exchange.backup.backup import megabytes
from pocketpump.exchange.backup.import_preview import count_kinds, explain
from pocketpump.exchange.papers import attachment
from pocketpump.exchange.papers.attachment import papers_size
from pocketpump.record import Entry, FileReport, Record
from pocketpump.record.entry.kinds import REMOVAL
from pocketpump.record.facts.situation import situation_of
from pocketpump.record.journal.file_names import aside_number, is_temporary
from pocketpump.record.journal.migrations import SCHEMA

_APART = timedelta(minutes=10)
_CLOCK = message(
    "An entry is dated in the future, so a clock was or is wrong: set the date of the device "
    "right, then save the entry again with its true time, or remove it in My record."
)
_NOT_READ = {"not understood", "other file too large"}
_KEPT = "record-"
_OURS = ("record-", "damaged-", "cut-", "aside-")


@dataclass(frozen=True, slots=True)
class Checkup:
    """The outcome of checking a record.

    ``counts`` are the kinds that count now, in words; ``problems`` everything odd, the one
    about the oldest entry first, in words; ``codes`` the same as stable words.
    """

    entries: int
    counting: int
    counts: tuple[tuple[str, int], ...]
    first_at: datetime | None
    last_at: datetime | None
    files: tuple[FileReport, ...]
    problems: tuple[str, ...]
    codes: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """Whether nothing odd was found."""
        return not self.problems


def check_up(record: Record, now: datetime, zone: tzinfo, rights: str = "") -> Checkup:
    """Read the record's files again, hold them against what is known, check every entry.

    ``now`` is the aware instant, ``zone`` that in which days are told. Changes nothing.
    ``rights`` is what :func:`shared_rights` found, told last.
    """
    files = record.check_files()
    entries, alive = record.entries, record.alive
    by_id = {entry.id: entry for entry in entries}
    found = [*record.problems, *_in_files(files), *_dated_ahead(alive, now),
             *_in_refills(alive, now), *_papers(entries)]  # fmt: skip
    found.sort(key=lambda problem: min((by_id[i].at.timestamp() for i in problem.ids
                                        if i in by_id), default=0.0))  # fmt: skip
    if rights:
        found.append(Problem("open to others", rights))
    return Checkup(
        entries=len(entries),
        counting=len(alive),
        counts=count_kinds(alive),
        first_at=min((entry.at for entry in alive), default=None),
        last_at=max((entry.at for entry in alive), default=None),
        files=files,
        problems=tuple(dict.fromkeys(explain(problem, by_id, zone) for problem in found)),
        codes=tuple(problem.code for problem in found),
    )


def from_the_future(alive: Iterable[Entry], now: datetime) -> tuple[Entry, ...]:
    """Return the entries that a wrong clock made: dated, or written, later than ``now``.

    A dose setting may be noted ahead; the clocks of two devices differ by minutes.
    """
    limit = now + _APART
    return tuple(
        entry
        for entry in alive
        if entry.kind != REMOVAL
        and (entry.written_at > limit or (entry.at > limit and entry.kind != "programme"))
    )


def not_in_backup(record: Record) -> tuple[str, ...]:
    """Return what the record's files hold that is in no backup, a sentence each; mostly none.

    A backup holds the entries that could be read. What could not is only in the files.
    """
    codes = {problem.code for problem in record.problems}
    # What is damaged in another device's file is told only when it is read first.
    names = record.file_names
    standing = {name for name in names if aside_number(name) is None}
    files = [one for one in record.check_files() if one.name in standing]
    told: list[str] = []
    if codes & _NOT_READ or any((one.schema or 0) > SCHEMA for one in files):
        told.append(
            message(
                "The record's files hold entries that this PocketPump cannot read: they are in no "
                "backup that is made here."
            )
        )
    if any(not is_temporary(one.name) and (one.unread or not one.whole) for one in files):
        told.append(
            message(
                "Some lines of the record's files are damaged or cut off: what could not be read "
                "of them is in no backup that is made here."
            )
        )
    if len(standing) < len(names):
        told.append(
            message(
                "A record that was moved aside earlier is still here: it is in no backup that is "
                "made here. To keep it, bring it back first."
            )
        )
    return tuple(told)


def shared_rights(mode: int) -> str:
    """Return the sentence about a folder that others may enter, by its rights; "" if none."""
    if mode & 0o077 == 0:
        return ""
    return message(
        "Other users of this device may look into the record's folder; the entries themselves "
        "are closed to them. Give the folder rights for its owner only."
    )


def support_file(checkup: Checkup, now: datetime) -> bytes:
    """Return a JSON text for whoever helps: versions, counts, codes; no health content.

    There is no value, word or date of any entry in it, and no place on the disk: only names
    that PocketPump itself gives.
    """
    told = {
        "format": "pocketpump-support",
        "version": 1,
        "written_on": now.date().isoformat(),
        "pocketpump": __version__,
        "schema": SCHEMA,
        "python": platform.python_version(),
        "system": platform.system(),
        "entries": checkup.entries,
        "counting": checkup.counting,
        "files": [
            {"kind": report.name.split("-")[0], "bytes": report.size,
             "lines": report.lines, "schema": report.schema, "whole": report.whole}
            for report in checkup.files if report.name.startswith(_OURS)
        ],
        "other_files": sum(not report.name.startswith(_OURS) for report in checkup.files),
        "problems": dict(Counter(checkup.codes)),
    }  # fmt: skip
    return (json.dumps(told, indent=2) + "\n").encode()


def _in_files(files: Iterable[FileReport]) -> list[Problem]:
    generations = [report for report in files if report.name.startswith(_KEPT)]
    # None at all: the browser has thrown them away while the record was open.
    if generations and all(report.whole for report in generations):
        return []
    sentence = message(
        "The device does not give back what was written to the record's files; make a backup "
        "now, then close PocketPump and open it again."
    )
    return [Problem("file changed", sentence)]


def _papers(entries: Iterable[Entry]) -> list[Problem]:
    """Tell early, while there is still room for what matters more."""
    size, most = papers_size(entries), attachment.MOST_PAPERS
    if size * 2 < most:
        return []
    sentence = message(
        "Photos and scans fill {size} of the {most} MB that a backup can hold, and removed ones "
        "count too: keep further ones outside PocketPump.",
        size=megabytes(size),
        most=megabytes(most),
    )
    return [Problem("papers fill up", sentence)]


def _dated_ahead(alive: Iterable[Entry], now: datetime) -> list[Problem]:
    return [Problem("clock", _CLOCK, (one.id,)) for one in from_the_future(alive, now)]


def _in_refills(alive: Iterable[Entry], now: datetime) -> tuple[Problem, ...]:
    situation, _ = situation_of(alive, now)
    if situation is None:
        return ()
    return duplicate_problems(situation)
