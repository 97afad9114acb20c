"""The journal: an append-only file of checked lines, folded into a new one now and then.

Names: ``record-000001.jsonl`` is a generation (the highest number counts, the one before is
kept), ``….tmp`` a generation being written, ``cut-…`` bytes cut off a torn end,
``damaged-…`` a whole file set aside. A save is one line: appended, synced, and only then
acknowledged, so after any crash it is there whole or not at all.

One thing no single file can tell: acknowledged lines cut off cleanly at a line's end by
someone else, after the last fold. Within the folded part the header's count notices it.
"""

import contextlib
import re
from collections.abc import Iterable, Sequence
from typing import Any

from pocketpump.core.errors import Problem
from pocketpump.record import troubles
from pocketpump.record.errors import (
    NewerRecordError,
    NotSavedError,
    RecordClosedError,
    RecordUnreadableError,
)
from pocketpump.record.files import Files
from pocketpump.record.lines import START, Header, Scan, encode, encode_header, scan
from pocketpump.record.migrations import SCHEMA

_GENERATION = re.compile(r"record-(\d{6,})\.jsonl")
_LEFT_OVER = re.compile(r"damaged-\d+|cut-\d+|record-\d+\.tmp$")
_CHUNK = 1 << 20


class Journal:
    """An open journal; make one with :meth:`open`.

    ``parts`` are the bodies found, as (schema, bodies) from the oldest source to the newest;
    ``problems`` what was odd; ``folded`` how many bodies of a healthy file were carried over
    by the last fold; ``must_fold`` is true when nothing can be appended before
    :meth:`fold`, because what was found is not in one whole file of the current schema.
    """

    def __init__(self, files: Files) -> None:
        self._files = files
        self._name = ""
        self._generation = 0
        self._size = 0
        self._number = 0
        self._chain = START
        self._usable = True
        self._aside: list[str] = []
        self.parts: list[tuple[int, list[Any]]] = []
        self.problems: list[Problem] = []
        self.folded = 0
        self.must_fold = False

    @classmethod
    def open(cls, files: Files) -> "Journal":
        """Read the newest generation, mending what can be mended.

        Raises :class:`NewerRecordError` (nothing touched) and
        :class:`RecordUnreadableError` when the files cannot be read at all.
        """
        journal = cls(files)
        try:
            names = files.names()
            generations = _generations(names)
            if generations:
                journal._open_newest(generations, names)
            else:
                journal._open_without_record(names)
        except OSError as error:
            raise RecordUnreadableError from error
        return journal

    def append(self, body: bytes) -> None:
        """Write one body (JSON text from :func:`to_text`) and return when it is durable.

        Raises :class:`NotSavedError` when the device refused but the journal is as before,
        :class:`RecordClosedError` when nothing can be written any more.
        """
        if not self._usable or self.must_fold:
            raise RecordClosedError
        line, chain = encode(self._number + 1, self._chain, body)
        try:
            in_step = self._files.size(self._name) == self._size
        except OSError as error:
            raise NotSavedError from error
        if not in_step:  # someone else wrote here in spite of the lock
            self._usable = False
            raise RecordClosedError
        self._usable = False  # whatever stops us on the way, half a line must not be built on
        try:
            self._files.append(self._name, line)
            self._files.sync(self._name)
        except OSError as error:
            self._take_back()
            raise NotSavedError from error
        self._usable = True
        self._size += len(line)
        self._number += 1
        self._chain = chain

    def fold(self, bodies: Iterable[bytes]) -> None:
        """Write ``bodies`` as the next generation and go on in it; the one before is kept.

        When it cannot be written, the journal goes on as it was, or, if :attr:`must_fold`,
        can only be read until it is opened again.
        """
        if not self._usable:
            return
        self._usable = False
        generation = self._generation + 1
        temporary, target = f"record-{generation:06}.tmp", _record_name(generation)
        lines = list(bodies)
        header = Header(SCHEMA, generation, len(lines), tuple(self._aside))
        try:
            if temporary in self._files.names():
                self._files.remove(temporary)
            size, chain = self._write(temporary, header, lines)
        except OSError:
            self._usable = True
            self.problems.append(
                troubles.cannot_write() if self.must_fold else troubles.not_tidied()
            )
            return
        try:
            self._files.replace(temporary, target)
        except OSError:
            # The new name may or may not be there, so neither file may grow from here on.
            self.problems.append(troubles.cannot_write())
            return
        self._name, self._generation = target, generation
        self._size, self._chain, self._number = size, chain, len(lines)
        self.folded, self.must_fold, self._usable = len(lines), False, True
        self._tidy(header)

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

    def _take_back(self) -> None:
        with contextlib.suppress(OSError):
            self._files.truncate(self._name, self._size)
            self._files.sync(self._name)
            self._usable = self._files.size(self._name) == self._size

    def _open_newest(self, generations: list[int], names: list[str]) -> None:
        self._generation = generations[-1]
        self._name = _record_name(self._generation)
        data = self._files.read(self._name)
        found = scan(data)
        _refuse_newer(found)
        header = found.header
        mixed_up = header is not None and header.generation != self._generation
        if found.damaged or header is None or mixed_up:
            self._gather(generations[-2:], found)
            self.problems.append(troubles.mixed_up() if mixed_up else troubles.damaged(found.lost))
            return
        self.parts = [(header.schema, found.bodies)]
        self.folded = header.folded
        self._aside = list(header.mended)
        self.must_fold = header.schema < SCHEMA
        self._size, self._chain, self._number = found.good, found.chain, found.number
        self._mend_end(data, found, names)
        self._tidy(header)

    def _gather(self, generations: list[int], newest: Scan) -> None:
        """Unite the newest file, damaged or misnamed, with the one before it."""
        sources = [(self._name, newest)]
        if len(generations) > 1:
            before = _record_name(generations[0])
            sources.insert(0, (before, scan(self._files.read(before))))
            _refuse_newer(sources[0][1])
        self._unite(sources)

    def _open_without_record(self, names: list[str]) -> None:
        """Begin a new record, but never silently where one has been before."""
        aside = sorted(name for name in names if _LEFT_OVER.match(name))
        sources = [(name, scan(self._files.read(name))) for name in aside]
        for _, found in sources:
            _refuse_newer(found)
        self._unite(sources)
        self._aside = []  # they are set aside already
        self._generation = max((int(re.findall(r"\d+", name)[0]) for name in aside), default=0)
        if any(bodies for _, bodies in self.parts) or not all(map(_is_tmp, aside)):
            self.problems.append(troubles.record_missing())

    def _unite(self, sources: list[tuple[str, Scan]]) -> None:
        known = [found.header.schema for _, found in sources if found.header]
        for name, found in sources:
            schema = found.header.schema if found.header else max(known, default=SCHEMA)
            self.parts.append((schema, found.bodies))
            if found.damaged:
                self._aside.append(name)
        self.must_fold = True

    def _mend_end(self, data: bytes, found: Scan, names: list[str]) -> None:
        """Cut a torn end off (kept aside) or add the one newline that is missing."""
        torn = data[found.good :]
        try:
            if found.unended:
                self._files.append(self._name, b"\n")
                self._files.sync(self._name)
                self._size += 1
            elif torn:
                aside = _free_name("cut", self._generation, names)
                self._files.append(aside, torn)
                self._files.sync(aside)
                self._files.truncate(self._name, found.good)
                self._files.sync(self._name)
                self.problems.append(troubles.torn())
        except OSError:
            self._usable = False
            self.problems.append(troubles.cannot_write())

    def _tidy(self, header: Header) -> None:
        """Set damaged files aside and remove what is older than the generation before.

        Only ever called with a whole newest generation. Nothing depends on it: what fails
        here is done when the record is opened the next time.
        """
        with contextlib.suppress(OSError):
            names = self._files.names()
            for name in header.mended:
                if name in names and name != self._name:
                    aside = _free_name("damaged", self._generation, names)
                    self._files.replace(name, aside)
                    names.append(aside)
            leftovers = [name for name in names if _is_tmp(name)]
            kept = [g for g in _generations(names) if _record_name(g) not in header.mended]
            leftovers += [_record_name(old) for old in kept[:-2]]
            for name in leftovers:
                self._files.remove(name)


def _generations(names: Iterable[str]) -> list[int]:
    found = (_GENERATION.fullmatch(name) for name in names)
    return sorted(int(match[1]) for match in found if match)


def _record_name(generation: int) -> str:
    return f"record-{generation:06}.jsonl"


def _is_tmp(name: str) -> bool:
    return name.startswith("record-") and name.endswith(".tmp")


def _free_name(word: str, generation: int, names: Iterable[str]) -> str:
    taken, count = set(names), 1
    while f"{word}-{generation:06}-{count}.jsonl" in taken:
        count += 1
    return f"{word}-{generation:06}-{count}.jsonl"


def _refuse_newer(found: Scan) -> None:
    if found.header is not None and found.header.schema > SCHEMA:
        raise NewerRecordError
