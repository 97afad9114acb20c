"""Appends a line to the one file that is written to, flushes it and compares it with the file.

A sync program may put another file in the place of the open one, and what is then written goes
nowhere. So before and after each line what is at the file's name is compared with what was
written; a line that is not surely there is not acknowledged.
"""

import contextlib

from pocketpump.record.errors import RecordClosedError, RecordGoneError, refused
from pocketpump.record.journal.files import Files
from pocketpump.record.journal.lines import START, encode, scan

_TRIES = 3


class Tail:
    """Where the next line goes: the file's name, its size, its last line's number and chain.

    ``usable`` is false once nothing may be built on it any more.
    """

    def __init__(
        self, files: Files, name: str, size: int = 0, number: int = 0, chain: bytes = START
    ) -> None:
        self._files = files
        self._doubt = False
        self.name = name
        self.size = size
        self.number = number
        self.chain = chain
        self.usable = True

    def append(self, body: bytes) -> None:
        """Write one body and return when it is durable and at the file's name.

        Raises the :class:`RecordError` of :func:`refused` when the device refused but the file is
        as before, :class:`RecordGoneError` when the file is not there any more, and
        :class:`RecordClosedError` when nothing can be written any more.
        """
        if not self.usable:
            raise RecordClosedError
        line, chain = encode(self.number + 1, self.chain, body)
        size = self.size + len(line)
        for _ in range(_TRIES):
            self._make_sure()
            self.usable = False  # whatever stops us, half a line must not be built on
            try:
                self._files.append(self.name, line)
                self._files.sync(self.name)
                arrived = self._is_there(size, chain)
            except FileNotFoundError as error:
                self.usable = True  # nothing of the line is where the file was
                raise RecordGoneError from error
            except OSError as error:
                self._take_back()
                raise refused(error) from error
            self.usable = True
            if arrived:
                self.size, self.number, self.chain = size, self.number + 1, chain
                return
        raise RecordGoneError

    def _make_sure(self) -> None:
        """Raise unless the file at our name holds just what we know."""
        try:
            there = self._is_there(self.size, self.chain)
        except FileNotFoundError as error:
            raise RecordGoneError from error
        except OSError as error:
            raise refused(error) from error
        if there:
            return
        if self._doubt:
            raise RecordGoneError
        self.usable = False  # someone else wrote here in spite of the lock
        raise RecordClosedError

    def _is_there(self, size: int, chain: bytes) -> bool:
        """Tell whether what is at our name now has this size and ends in this chain."""
        self._doubt |= self._files.renew(self.name)
        if not self._doubt:
            return self._files.size(self.name) == size
        # Another file took its place, or was written to. If it says the very same we go on in it.
        data = self._files.read(self.name)
        found = scan(data)
        same = not found.damaged and not found.unended and found.chain == chain
        if not same or not len(data) == found.good == size:
            return False
        self._files.sync(self.name)
        self._doubt = False
        return True

    def _take_back(self) -> None:
        with contextlib.suppress(OSError):
            self._files.truncate(self.name, self.size)
            self._files.sync(self.name)
            self.usable = self._files.size(self.name) == self.size
