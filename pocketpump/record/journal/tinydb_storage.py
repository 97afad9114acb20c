"""TinyDB on the journal: a storage that appends only what differs, and a table that knows it.

One save is one journal line, ``{"put": {table: {id: document}}, "del": {table: [ids]},
"drop": [tables]}`` with the empty parts left out, so it is kept whole or not at all.
"""

import json
from collections.abc import Iterable, Iterator, Mapping
from itertools import chain, count
from typing import Any

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Document, Table

from pocketpump.core.errors import Problem
from pocketpump.record.entry.bounds import Room
from pocketpump.record.entry.frozen import thaw
from pocketpump.record.entry.json_text import to_text
from pocketpump.record.errors import RecordError
from pocketpump.record.journal import problems
from pocketpump.record.journal.files import Files
from pocketpump.record.journal.journal import Journal
from pocketpump.record.journal.migrations import SCHEMA, migrate
from pocketpump.record.journal.other_files import Part

FOLD_AFTER = 2000
"""How many documents may be written since the last fold before opening folds again."""

DRAFTS = "drafts"
"""The table of which only the last of a name counts, and only on this device."""

Tables = dict[str, dict[str, Any]]


class JournalStorage(Storage):
    """Keep TinyDB's tables in memory and every change to them in the journal of ``files``.

    Raises what :meth:`Journal.open` raises.
    """

    def __init__(self, files: Files) -> None:
        super().__init__()
        self.files = files
        self._journal = Journal.open(files)
        self._tables: Tables = {}
        changes = self._replay()
        new = self._unite()
        if self._keep(new, changes):
            self._journal.tidy()

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What was odd when the journal was opened."""
        return tuple(self._journal.problems)

    def read(self) -> Tables:
        """Return a copy of all tables, for TinyDB to change as it likes."""
        copied: Tables = thaw(self._tables)
        return copied

    def write(self, data: Mapping[str, Mapping[str, Any]]) -> None:
        """Append what differs between ``data`` and what is held, as one save.

        Raises what :meth:`Journal.append` raises; nothing is changed then.
        """
        body: dict[str, Any] = {}
        put = {name: self._changed(name, table) for name, table in data.items()}
        put = {name: docs for name, docs in put.items() if docs or name not in self._tables}
        gone = {
            name: [one for one in self._tables[name] if one not in table]
            for name, table in data.items()
            if name in self._tables
        }
        body["put"] = put
        body["del"] = {name: ids for name, ids in gone.items() if ids}
        body["drop"] = [name for name in self._tables if name not in data]
        body = {key: part for key, part in body.items() if part}
        if body:
            self._save(body)

    def documents(self, table: str) -> Mapping[str, Any]:
        """Return one table as it is held, not to be changed; empty if there is none."""
        return self._tables.get(table, {})

    def add(self, table: str, documents: Mapping[str, Any]) -> None:
        """Append new documents of one table as one save, whatever the table's size."""
        self._save({"put": {table: documents}})

    def seal(self) -> None:
        """Refuse all further writing, but keep hold of the files."""
        self._journal.seal()

    def close(self) -> None:
        """Let go of the files."""
        self._journal.close()

    def _save(self, body: Mapping[str, Any]) -> None:
        text = to_text(body)
        self._journal.append(text)
        # Read back from the text, so that memory holds just what opening again would give.
        self._apply(json.loads(text))

    def _replay(self) -> int:
        """Build the tables from the journal; return the documents changed since the fold."""
        journal, changes = self._journal, 0
        for schema, bodies in journal.parts:
            for number, body in enumerate(bodies):
                _migrate(body, schema)
                self._apply(body)
                if number >= journal.folded:
                    changes += sum(map(len, body.get("put", {}).values())) or 1
        journal.parts = []
        return changes

    def _unite(self) -> Tables:
        """Take in what only the other files hold, and return it.

        Documents are compared as they are written: what cannot be understood is kept too. Of
        what is overwritten (drafts) ours counts; what was taken away there is read no more. What
        is more than a record may hold stays in its file, is told, and is looked at again.
        """
        others, new, odd = self._journal.others, Tables(), 0
        known: dict[str, set[bytes]] = {}
        room, left = Room(), 0
        if others.parts:
            known = {name: set(map(_sorted_text, self._tables[name].values()))
                     for name in self._tables if name != DRAFTS}  # fmt: skip
            for text in chain.from_iterable(known.values()):
                room.take(text)
        for part in others.parts:
            for name, documents in _tables_in(part).items():
                if name == DRAFTS:
                    continue
                table = self._tables.setdefault(name, {})
                numbers = count(1 + max(map(int, table), default=0))
                for document in documents.values():
                    text = _sorted_text(document)
                    if text in known.setdefault(name, set()):
                        continue
                    if not room.take(text):
                        left += 1
                        others.read.pop(part.name, None)  # it is not in our own file
                        continue
                    known[name].add(text)
                    number = str(next(numbers))
                    table[number] = new.setdefault(name, {})[number] = document
                    odd += not part.expected
        others.parts = []
        if odd:
            self._journal.problems.append(problems.copies_found(odd))
        if left:
            self._journal.problems.append(problems.others_too_large(left))
        return new

    def _keep(self, new: Tables, changes: int) -> bool:
        """Write down what was taken in; return whether all that was read is in our own file now.

        What will not change any more is noted in a new generation, so as to be read only once.
        """
        journal = self._journal
        changes += sum(map(len, new.values()))
        if journal.must_fold or changes > FOLD_AFTER or journal.others.settled:
            return journal.fold(self._lines())
        if not new:
            return True
        try:
            journal.append(to_text({"put": new}))
        except RecordError:
            return False  # it stays in the other files, which are read again the next time
        return True

    def _apply(self, body: Mapping[str, Any]) -> None:
        _apply(self._tables, body)

    def _changed(self, name: str, table: Mapping[str, Any]) -> dict[str, Any]:
        held = self._tables.get(name, {})
        # As text, for Python finds 1, 1.0 and True equal and JSON does not.
        return {
            one: document
            for one, document in table.items()
            if one not in held or to_text(held[one]) != to_text(document)
        }

    def _lines(self) -> Iterator[bytes]:
        """One line a document, so that later damage costs as little as can be."""
        for name, documents in self._tables.items():
            if not documents:
                yield to_text({"put": {name: {}}})
            for one, document in documents.items():
                yield to_text({"put": {name: {one: document}}})


def _apply(tables: Tables, body: Mapping[str, Any]) -> None:
    for name in body.get("drop", ()):
        tables.pop(name, None)
    for name, ids in body.get("del", {}).items():
        for one in ids:
            tables.get(name, {}).pop(one, None)
    for name, documents in body.get("put", {}).items():
        tables.setdefault(name, {}).update(documents)


def _tables_in(part: Part) -> Tables:
    tables: Tables = {}
    for body in part.bodies:
        _migrate(body, part.schema)
        _apply(tables, body)
    return tables


def _migrate(body: dict[str, Any], schema: int) -> None:
    if schema < SCHEMA:
        body["put"] = {
            name: {one: migrate(document, schema) for one, document in docs.items()}
            for name, docs in body.get("put", {}).items()
        }


def _sorted_text(document: Any) -> bytes:
    return json.dumps(document, sort_keys=True, separators=(",", ":")).encode()


class EntryTable(Table):
    """A table whose inserts append only the new documents; all else is TinyDB's own.

    On a storage that is not a :class:`JournalStorage` it is a plain TinyDB table.
    """

    def insert(self, document: Mapping[str, Any]) -> int:
        """Insert one document and return its number once it is durable."""
        return self.insert_multiple([document])[0]

    def insert_multiple(self, documents: Iterable[Mapping[str, Any]]) -> list[int]:
        """Insert documents as one save and return their numbers once all are durable.

        Raises ``ValueError``, as TinyDB does, for what is no document or has a number in use.
        """
        if not isinstance(self._storage, JournalStorage):
            return super().insert_multiple(documents)
        held = self._storage.documents(self.name)
        new: dict[str, Any] = {}
        for document in documents:
            if not isinstance(document, Mapping):
                raise ValueError("Document is not a Mapping")
            number = self._number(document, held)
            if str(number) in held or str(number) in new:
                raise ValueError(f"Document with ID {number} already exists")
            new[str(number)] = dict(document)
        if new:
            self._storage.add(self.name, new)
            self.clear_cache()
        return [int(number) for number in new]

    def _number(self, document: Mapping[str, Any], held: Mapping[str, Any]) -> int:
        following: int = self._next_id or 1 + max(map(int, held), default=0)
        number = document.doc_id if isinstance(document, Document) else following
        # TinyDB infers only None here; its own code assigns numbers too.
        self._next_id = max(following, number + 1)  # type: ignore[assignment]
        return number


class RecordDB(TinyDB):
    """A TinyDB over a :class:`JournalStorage`; ``files`` is the one argument."""

    table_class = EntryTable

    def __init__(self, files: Files) -> None:
        super().__init__(files, storage=JournalStorage)
