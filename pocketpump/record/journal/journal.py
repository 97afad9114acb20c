"""The journal: an append-only file of checked lines, folded into a new one now and then.

What the files are called is told in :mod:`pocketpump.record.journal.file_names`. The highest
generation of our own writer counts and the one before is kept; all others are read
(:mod:`.other_files`) and never written to. A save is one line: appended, synced, compared with what
is at the file's name now (:mod:`.append`), and only then acknowledged, so after any crash it is
there whole or not at all.

One thing no single file can tell: acknowledged lines cut off cleanly at a line's end by
someone else, after the last fold. Within the folded part the header's count notices it, after
it the mark that the device keeps outside of the folder.
"""

import contextlib
from collections.abc import Iterable, Sequence
from typing import Any

from pocketpump.core.errors import Problem
from pocketpump.record.errors import (
    NewerRecordError,
    RecordClosedError,
    RecordReadOnlyError,
    RecordUnreadableError,
)
from pocketpump.record.journal import problems
from pocketpump.record.journal.append import Tail
from pocketpump.record.journal.file_names import (
    free_name,
    generations,
    is_left_over,
    is_record,
    is_temporary,
    left_over_generation,
    record_name,
    temporary_name,
)
from pocketpump.record.journal.files import Files
from pocketpump.record.journal.lines import Header, Scan, encode, encode_header, scan
from pocketpump.record.journal.migrations import SCHEMA
from pocketpump.record.journal.other_files import Others, digest, read_others, refuse_newer

_CHUNK = 1 << 20


class Journal:
    """An open journal; make one with :meth:`open`.

    ``parts`` are the bodies found, as (schema, bodies) from the oldest source to the newest;
    ``others`` what the files beside hold that is not known to be among them; ``problems`` what
    was odd; ``folded`` how many bodies of a healthy file were carried over by the last fold;
    ``must_fold`` is true when nothing can be appended before :meth:`fold`, because what was
    found is not in one whole file of our own and of the current schema.
    """

    def __init__(self, files: Files) -> None:
        self._files = files
        self._name = ""
        self._generation = 0
        self._tail = Tail(files, "")
        self._usable = True
        self._read_only = False
        self._aside: list[str] = []
        self._taken: set[str] = set()
        self._read: dict[str, str] = {}
        self.parts: list[tuple[int, list[Any]]] = []
        self.others = Others()
        self.problems: list[Problem] = []
        self.folded = 0
        self.must_fold = False

    @classmethod
    def open(cls, files: Files) -> "Journal":
        """Read the newest generation, mending what can be mended, and what is beside it.

        Raises :class:`NewerRecordError` (nothing touched) when a newer PocketPump wrote our own
        file, or all there is, and :class:`RecordUnreadableError` when the files cannot be read.
        """
        journal = cls(files)
        try:
            names = files.names()
            writer = files.writer
            # A record from before there were writers goes on under a name of our own.
            if not generations(writer, names) and generations("", names):
                writer = ""
            own = generations(writer, names)
            journal._name = record_name(writer, own[-1]) if own else ""
            journal._look_for_rights(names)
            if own:
                journal._open_newest(writer, own, names)
                journal.must_fold |= writer != files.writer
            else:
                journal._open_without_record(names)
            journal._hold_against_mark(writer == files.writer and bool(own), names)
            journal.others = read_others(files, names, journal._taken, journal._read)
        except OSError as error:
            raise RecordUnreadableError from error
        if not own and journal.others.newer and not any(p.bodies for p in journal.others.parts):
            raise NewerRecordError
        journal._tell_of_others()
        return journal

    def append(self, body: bytes) -> None:
        """Write one body (JSON text from :func:`to_text`) and return when it is durable.

        Raises what :meth:`Tail.append` raises, :class:`RecordReadOnlyError` when the device only
        lets us read, and :class:`RecordClosedError` when nothing can be written any more.
        """
        if self._read_only:
            raise RecordReadOnlyError
        if not self._usable or self.must_fold:
            raise RecordClosedError
        self._tail.append(body)
        self._files.remember(self._generation, self._tail.number)

    def fold(self, bodies: Iterable[bytes]) -> bool:
        """Write ``bodies`` as the next generation and go on in it; the one before is kept.

        ``bodies`` are to hold all that :attr:`others` does. Returns whether it was written: if
        not, the journal goes on as it was, or, if :attr:`must_fold`, can only be read until it
        is opened again.
        """
        if not self._usable or not self._tail.usable:
            return False
        self._usable = False
        generation, writer = self._generation + 1, self._files.writer
        temporary, target = temporary_name(writer, generation), record_name(writer, generation)
        lines = list(bodies)
        read = {**self._read, **self.others.read}
        header = Header(SCHEMA, generation, len(lines), tuple(self._aside), read)
        try:
            if temporary in self._files.names():
                self._files.remove(temporary)
            size, chain = self._write(temporary, header, lines)
        except OSError:
            self._usable = True
            self.problems.append(problems.CANNOT_WRITE if self.must_fold else problems.NOT_TIDIED)
            return False
        try:
            self._files.replace(temporary, target)
        except OSError:
            # The new name may or may not be there, so neither file may grow from here on.
            self.problems.append(problems.CANNOT_WRITE)
            return False
        self._name, self._generation = target, generation
        self._tail = Tail(self._files, target, size, len(lines), chain)
        self.folded, self.must_fold, self._usable = len(lines), False, True
        if lines:
            self._files.remember(generation, len(lines))
        return True

    def tidy(self) -> None:
        """Set damaged files aside and remove our own older generations but the one before.

        Only to be called once everything in :attr:`others` is in the newest generation. Nothing
        depends on it: what fails here is done when the record is opened the next time.
        """
        if not self._usable or self.must_fold:
            return
        with contextlib.suppress(OSError):
            names = self._files.names()
            for name in self._aside:
                if name in names and name != self._name:
                    aside = free_name("damaged", self._files.writer, self._generation, names)
                    self._files.replace(name, aside)
                    names.append(aside)
            leftovers = [name for name in names if is_temporary(name, self._files.writer)]
            kept = [n for n in _ours(self._files.writer, names) if n not in self._aside]
            # Never one whose lines we have not seen.
            seen = {*self._taken, *self.others.read}
            leftovers += [name for name in kept[:-2] if name in seen]
            for name in leftovers:
                self._files.remove(name)

    def close(self) -> None:
        """Refuse all further writing and let go of the files."""
        self.seal()
        self._files.close()

    def seal(self) -> None:
        """Refuse all further writing."""
        self._usable = False

    def _write(self, name: str, header: Header, lines: Sequence[bytes]) -> tuple[int, bytes]:
        line, chain = encode_header(header)
        waiting, size = bytearray(line), 0
        for number, text in enumerate(lines, 1):
            line, chain = encode(number, chain, text)
            waiting += line
            if len(waiting) > _CHUNK:
                self._files.append(name, bytes(waiting))
                size += len(waiting)
                waiting.clear()
        self._files.append(name, bytes(waiting))
        self._files.sync(name)
        return size + len(waiting), chain

    def _look_for_rights(self, names: list[str]) -> None:
        if self._files.read_only(self._name if self._name in names else ""):
            self._usable, self._read_only = False, True
            self.problems.append(problems.READ_ONLY)

    def _open_newest(self, writer: str, own: list[int], names: list[str]) -> None:
        self._generation = own[-1]
        self._taken.add(self._name)
        data = self._files.read(self._name)
        found = scan(data)
        refuse_newer(found)
        header = found.header
        mixed_up = header is not None and header.generation != self._generation
        if found.damaged or header is None or mixed_up:
            self._read[self._name] = digest(data)
            self._gather(record_name(writer, own[-2]) if len(own) > 1 else "", found)
            self.problems.append(problems.MIXED_UP if mixed_up else problems.damaged(found.lost))
            return
        self.parts = [(header.schema, found.bodies)]
        self.folded = header.folded
        self._aside = list(header.mended)
        self._read = dict(header.read)
        self.must_fold = header.schema < SCHEMA
        self._tail = Tail(self._files, self._name, found.good, found.number, found.chain)
        mended = self._mend_end(data, found, names)
        self._read[self._name] = digest(mended)

    def _gather(self, before: str, newest: Scan) -> None:
        """Unite the newest file, damaged or misnamed, with the one before it."""
        sources = [(self._name, newest)]
        if before:
            self._taken.add(before)
            data = self._files.read(before)
            self._read[before] = digest(data)
            sources.insert(0, (before, scan(data)))
            refuse_newer(sources[0][1])
        self._unite(sources)

    def _open_without_record(self, names: list[str]) -> None:
        """Begin a new file, but never silently where a record has been before."""
        self.must_fold = True
        self._generation = self._files.remembered()[0]  # what comes back must find its name free
        if any(map(is_record, names)):
            return  # all of it is read as the other files
        aside = sorted(name for name in names if is_left_over(name))
        sources = [(name, scan(self._files.read(name))) for name in aside]
        for _, found in sources:
            refuse_newer(found)
        self._unite(sources)
        self._aside = []  # they are set aside already
        self._generation = max(self._generation, *map(left_over_generation, aside), 0)
        if any(bodies for _, bodies in self.parts) or not all(map(is_temporary, aside)):
            self.problems.append(problems.RECORD_MISSING)

    def _hold_against_mark(self, whole: bool, names: list[str]) -> None:
        """Tell when this device has saved more than is there."""
        remembered = self._files.remembered()
        there = (self._generation, self._tail.number) if whole else (0, 0)
        emptied = remembered[1] > 0 and whole and not self._tail.number
        if (whole and self.must_fold) or (remembered <= there and not emptied):
            return  # damage and its like are told already
        if emptied or not any(map(is_record, names)):
            if all(problem.code != "record missing" for problem in self.problems):
                self.problems.append(problems.RECORD_GONE)
        else:
            self.problems.append(problems.ROLLED_BACK)

    def _tell_of_others(self) -> None:
        if self.others.lost:
            self.problems.append(problems.other_damaged(self.others.lost))
        if self.others.unread:
            self.problems.append(problems.OTHER_UNREAD)
        if self.others.newer:
            self.problems.append(problems.OTHER_NEWER)

    def _unite(self, sources: list[tuple[str, Scan]]) -> None:
        known = [found.header.schema for _, found in sources if found.header]
        for name, found in sources:
            schema = found.header.schema if found.header else max(known, default=SCHEMA)
            self.parts.append((schema, found.bodies))
            if found.damaged:
                self._aside.append(name)
        self.must_fold = True

    def _mend_end(self, data: bytes, found: Scan, names: list[str]) -> bytes:
        """Cut a torn end off (kept aside) or add the one newline that is missing.

        Returns what is in the file then. One that is not ours to write to stays as it is.
        """
        torn = data[found.good :]
        if torn:
            self.problems.append(problems.TORN)
        if self._read_only or self._name not in _ours(self._files.writer, names):
            return data
        try:
            if found.unended:
                self._files.append(self._name, b"\n")
                self._files.sync(self._name)
                self._tail.size += 1
                return data + b"\n"
            if torn:
                aside = free_name("cut", self._files.writer, self._generation, names)
                self._files.append(aside, torn)
                self._files.sync(aside)
                self._files.truncate(self._name, found.good)
                self._files.sync(self._name)
        except OSError:
            self._usable = False
            self.problems.append(problems.CANNOT_WRITE)
        return data[: found.good]


def _ours(writer: str, names: Iterable[str]) -> list[str]:
    """Return the names of our own generations, the oldest first."""
    return [record_name(writer, one) for one in generations(writer, names)]
