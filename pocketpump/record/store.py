"""The record in use: the imperative shell around entries, history and the journal."""

import threading
from bisect import insort
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from datetime import UTC, datetime
from typing import Self
from uuid import uuid4

from pocketpump.core.errors import Problem
from pocketpump.record.entry.entries import (
    Entry,
    new_correction,
    new_entry,
    new_removals,
    to_document,
)
from pocketpump.record.entry.frozen import JSON
from pocketpump.record.entry.readable import Unread, readable, unread_in
from pocketpump.record.errors import NotEndedError, NotEndedReadOnlyError, NotSavedError
from pocketpump.record.history.editable import earlier_versions, editable, removed_together
from pocketpump.record.history.history import Resolved, order, read_documents, resolve
from pocketpump.record.history.import_entries import SortedImport, sort_import, to_take_back
from pocketpump.record.history.split_conflict import put
from pocketpump.record.journal.drafts import draft_in, keep_draft_in
from pocketpump.record.journal.file_names import is_ours
from pocketpump.record.journal.files import Files
from pocketpump.record.journal.filing import FileReport, check_files, erase, move_aside, set_aside
from pocketpump.record.journal.tinydb_storage import JournalStorage, RecordDB

TABLE = "entries"

Draft = tuple[str, datetime, str, Mapping[str, JSON]]
"""What an entry is made of: kind, at, zone, payload."""

Correction = tuple[str, Mapping[str, JSON], datetime | None, str | None]
"""The id of the entry to correct, the whole new payload, and at and zone if they change."""


def utc_now() -> datetime:
    """Return this instant, in UTC."""
    return datetime.now(UTC)


def random_id() -> str:
    """Return a fresh UUID4 as text."""
    return str(uuid4())


class Record:
    """All entries of one person, open for reading and adding; make one with :meth:`open`.

    Every method that writes returns only when what it wrote is durable, and writes all of
    it or nothing; otherwise it raises :class:`NotSavedError` (try again) or
    :class:`RecordClosedError` (open again) and the record is as it was. Methods may be
    called from several threads.

    Each function in ``on_saved`` is called after every save, removal, undo and merge, when
    it is durable; it must not raise.
    """

    def __init__(
        self, db: RecordDB, clock: Callable[[], datetime], make_id: Callable[[], str]
    ) -> None:
        self._clock = clock
        self._make_id = make_id
        self._lock = threading.RLock()
        self.on_saved: list[Callable[[], None]] = []
        self._begin(db)

    def _begin(self, db: RecordDB) -> None:
        storage = db.storage
        assert isinstance(storage, JournalStorage)
        self._db = db
        self._storage = storage
        self._table = db.table(TABLE)
        self._entries, odd = read_documents(storage.documents(TABLE).values())
        self._found: list[Problem] = [*storage.problems, *odd]
        self._settled: Resolved | None = None
        self._alive: list[Entry] = []
        self._unread: tuple[Unread, ...] = ()

    @classmethod
    def open(
        cls,
        files: Files,
        *,
        clock: Callable[[], datetime] = utc_now,
        make_id: Callable[[], str] = random_id,
    ) -> Self:
        """Open the record kept in ``files``, or begin one there; takes ``files`` over.

        ``clock`` gives the aware instant of writing, ``make_id`` fresh UUID4 texts. Raises
        :class:`NewerRecordError` or :class:`RecordUnreadableError` with nothing touched;
        whatever else is odd is told by :attr:`problems`.
        """
        try:
            return cls(RecordDB(files), clock, make_id)
        except BaseException:
            files.close()
            raise

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries ever written, in the order in which they came here."""
        with self._lock:
            return tuple(self._entries.values())

    @property
    def alive(self) -> tuple[Entry, ...]:
        """The entries that count now, removals among them, sorted by the instant they speak of.

        What cannot be read of them is left out, see :mod:`pocketpump.record.entry.readable`. A
        plainly added entry is put in its place at once; after a correction, removal, undo or merge
        the whole is worked out anew, when first asked for.
        """
        with self._lock:
            self._settle()
            return tuple(self._alive)

    @property
    def unread(self) -> tuple[Unread, ...]:
        """What counts now and cannot be read, or not wholly."""
        with self._lock:
            self._settle()
            return self._unread

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What was odd on opening and merging, and what is odd about the entries now."""
        with self._lock:
            settled = self._settle()
            unread = (problem for one in self._unread for problem in one.problems)
            return (*self._found, *settled.problems, *unread)

    @property
    def last_saved(self) -> Entry | None:
        """The entry saved last that still counts and is no removal, readable or not."""
        with self._lock:
            settled = self._settle()
            gone = settled.taken_back | settled.superseded
            return next(
                (
                    entry
                    for entry in reversed(self._entries.values())
                    if entry.removes is None and entry.id not in gone
                ),
                None,
            )

    def add(self, kind: str, at: datetime, zone: str, payload: Mapping[str, JSON]) -> Entry:
        """Save one new entry; see :func:`new_entry` for the values and errors."""
        return self.add_many([(kind, at, zone, payload)])[0]

    def add_many(self, drafts: Iterable[Draft]) -> tuple[Entry, ...]:
        """Save several new entries together: all of them or none."""
        with self._lock:
            now = self._clock()
            entries = tuple(
                new_entry(kind, at, zone, payload, now=now, make_id=self._make_id)
                for kind, at, zone, payload in drafts
            )
            self._save(entries)
            return entries

    def correct(
        self,
        entry_id: str,
        payload: Mapping[str, JSON],
        at: datetime | None = None,
        zone: str | None = None,
    ) -> Entry:
        """Save a new entry in the place of one that counts now.

        ``payload`` is the whole new payload; ``at`` and ``zone`` stay when not given. Raises
        :class:`InputError` when the entry does not count now, is a removal, or the values do
        not fit.
        """
        return self.correct_many([(entry_id, payload, at, zone)])[0]

    def correct_many(self, corrections: Iterable[Correction]) -> tuple[Entry, ...]:
        """Save several corrections together, as :meth:`correct` does: all of them or none."""
        with self._lock:
            now = self._clock()
            entries = tuple(
                new_correction(
                    self._standing(entry_id), payload, at, zone, now=now, make_id=self._make_id
                )
                for entry_id, payload, at, zone in corrections
            )
            self._save(entries)
            return entries

    def remove(self, entry_id: str) -> Entry:
        """Take away an entry that counts now, with all its earlier versions, and save that.

        Returns the removal; undoing it brings the entry back. On a removal it is the same as
        :meth:`undo`. Raises :class:`InputError` when the entry does not count now.
        """
        with self._lock:
            entry = self._standing(entry_id)
            if entry.removes is not None:
                return self.undo(entry_id)
            return self._take_back([entry_id, *earlier_versions(self._settle(), entry_id)])

    def undo(self, entry_id: str) -> Entry:
        """Take back just this one entry and save that; returns the removal.

        After undoing a correction the version before counts again; after undoing a removal
        all that it took away does. Raises :class:`InputError` when the entry was already taken
        back or was changed since.
        """
        with self._lock:
            return self.undo_many([entry_id])

    def undo_many(self, entry_ids: Iterable[str]) -> Entry:
        """Take back several entries, each as :meth:`undo` does it, with one save: all or none."""
        with self._lock:
            group: dict[str, None] = {}
            for entry_id in entry_ids:
                entry = self._standing(entry_id)
                group[entry_id] = None
                if entry.removes is not None:
                    group |= dict.fromkeys(removed_together(self._entries, self._settle(), entry))
            return self._take_back(list(group))

    def newest_version(self, entry_id: str) -> Entry | None:
        """Return the entry that counts now in the line of corrections of ``entry_id``.

        None when all of it was taken back, or there is no such entry.
        """
        with self._lock:
            if entry_id not in self._entries:
                return None
            line = self._settle().line
            wanted = line.get(entry_id, entry_id)  # added since: a line of its own
            fitting = (one for one in self._alive if line.get(one.id, one.id) == wanted)
            return next(fitting, None)

    def import_entries(self, entries: Iterable[Entry]) -> SortedImport:
        """Bring in another copy's entries with one save; doing it again adds nothing.

        See :func:`pocketpump.record.history.import_entries.sort_import` for what is taken.
        """
        with self._lock:
            imported = sort_import(self._entries, entries)
            self._save((*imported.added, *imported.settled))
            self._found += imported.problems
            return imported

    def undo_import(self, imported: SortedImport) -> Entry:
        """Take back, as one act, all that :meth:`import_entries` brought; returns the removal.

        Afterwards what counted before counts again, and what counted only through the other
        copy does not. Raises :class:`InputError` when some of it was changed since.
        """
        with self._lock:
            return self._take_back(to_take_back(imported, self.entries))

    @property
    def file_names(self) -> tuple[str, ...]:
        """The names of all files of the record, of those that were set aside too."""
        with self._lock:
            return tuple(filter(is_ours, sorted(self._storage.files.names())))

    def files_as_they_are(self) -> dict[str, bytes]:
        """Return the bytes of every file by name; one that the device does not give is not there.

        Changes nothing.
        """
        found: dict[str, bytes] = {}
        with self._lock:
            for name in self.file_names:
                with suppress(OSError):
                    found[name] = self._storage.files.read(name)
        return found

    def check_files(self) -> tuple[FileReport, ...]:
        """Read every file of the record again and say what is in it; changes nothing."""
        with self._lock:
            return check_files(self._storage.files)

    def start_over(self) -> None:
        """Move the whole record aside, in the same place, and go on with an empty one.

        Nothing is deleted. Raises :class:`NotEndedReadOnlyError` with nothing touched when only
        reading is allowed, and :class:`NotEndedError` when the device refused; the record
        is then still there after opening it again.
        """
        self._begin_anew(move_aside)

    def erase(self) -> None:
        """Remove the whole record for good, what was set aside too, and go on with an empty one.

        Raises what :meth:`start_over` does; what counts is then still there
        after opening it again.
        """
        self._begin_anew(erase)

    def set_aside(self) -> tuple[Entry, ...]:
        """Return the entries of all records that were moved aside; changes nothing.

        Raises what :meth:`open` raises, and :class:`NotSavedError` when a file cannot be read.
        """
        with self._lock:
            try:
                copies = set_aside(self._storage.files)
            except OSError as error:
                raise NotSavedError from error
        found: dict[str, Entry] = {}
        for copy in copies:
            with type(self).open(copy) as record:
                for entry in record.entries:
                    put(found, entry)
        return tuple(found.values())

    def _begin_anew(self, clear: Callable[[Files], object]) -> None:
        with self._lock:
            files = self._storage.files
            if files.read_only(""):
                raise NotEndedReadOnlyError
            self._storage.seal()
            try:
                clear(files)
            except OSError as error:
                raise NotEndedError from error
            self._begin(RecordDB(files))
        for told in self.on_saved:
            told()

    def draft(self, name: str) -> Mapping[str, JSON]:
        """Return the half-filled form kept under ``name``; empty if there is none."""
        with self._lock:
            return draft_in(self._storage, name)

    def keep_draft(self, name: str, values: Mapping[str, JSON]) -> None:
        """Keep a half-filled form in the place of the one under ``name``; empty forgets it.

        A draft is no entry: only the last one counts, and merging leaves it behind.
        """
        with self._lock:
            keep_draft_in(self._storage, name, values)

    def close(self) -> None:
        """Let go of the files; what was read can still be read, nothing can be written."""
        with self._lock:
            self._db.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_raised: object) -> None:
        self.close()

    def _save(self, entries: tuple[Entry, ...]) -> None:
        """Write durably, then, and only then, take the entries into memory."""
        self._table.insert_multiple(map(to_document, entries))
        for entry in entries:
            plain = entry.replaces is None and entry.removes is None
            if (
                self._settled is None
                or not plain
                or entry.id in self._entries
                or unread_in(entry) is not None
            ):
                self._settled = None
            elif any(problem.code == "missing entry" for problem in self._settled.problems):
                self._settled = None  # this may be the entry that was missing
            else:
                insort(self._alive, entry, key=order)
            self._entries[entry.id] = entry
        for told in self.on_saved:
            told()

    def _settle(self) -> Resolved:
        if self._settled is None:
            self._settled = resolve(self._entries.values())
            kept, self._unread = readable(self._settled.alive)
            self._alive = list(kept)
        return self._settled

    def _standing(self, entry_id: str) -> Entry:
        return editable(self._entries, self._settle(), entry_id)

    def _take_back(self, ids: list[str]) -> Entry:
        held = [self._entries[one] for one in ids]
        removals = new_removals(held, now=self._clock(), make_id=self._make_id)
        self._save(removals)
        return removals[0]
