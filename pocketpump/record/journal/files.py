"""The few things the journal asks of a place where files are kept, and one in memory."""

import os
from pathlib import Path
from typing import Protocol, Self

from pocketpump.record.errors import RecordUnreadableError
from pocketpump.record.journal.file_names import is_record


class Files(Protocol):
    """A flat folder of named byte files with one writer.

    Everything is synchronous. Any method may raise :class:`OSError`; after an error the
    bytes at the end of the file written to are unknown until :meth:`truncate` succeeds.
    ``writer`` is the part of our own files' names that no other device uses; "" where no other
    device can come to.
    """

    writer: str

    def names(self) -> list[str]:
        """Return the names of the files, in any order."""

    def read(self, name: str) -> bytes:
        """Return all bytes of a file."""

    def append(self, name: str, data: bytes) -> None:
        """Write all of ``data`` at the end of a file, making the file if need be."""

    def sync(self, name: str) -> None:
        """Return only when the file, its bytes and its name are on the medium."""

    def size(self, name: str) -> int:
        """Return the length of a file in bytes."""

    def truncate(self, name: str, size: int) -> None:
        """Cut a file to ``size`` bytes."""

    def replace(self, source: str, target: str) -> None:
        """Rename in one step, taking the place of ``target``; durable on return."""

    def remove(self, name: str) -> None:
        """Take a file away."""

    def forget_rest(self) -> None:
        """Let nothing be left of what has no name any more: removed or unreadable files."""

    def renew(self, name: str, /) -> bool:
        """Tell whether ``name`` is another file than before, or was written to by others.

        What was opened as ``name`` is let go of then, and the next call is on what is there now.

        Raises :class:`RecordInUseError` when the folder is another one now, too, and held by
        another PocketPump.
        """

    def read_only(self, name: str, /) -> bool:
        """Tell whether nothing may be written into the folder, or at the end of this file."""

    def remembered(self) -> tuple[int, int]:
        """Return what was told to :meth:`remember` last, here or before; (0, 0) if nothing.

        It is kept where it survives what befalls the files, as far as there is such a place.
        """

    def remember(self, generation: int, number: int) -> None:
        """Keep the number of the newest generation and of its lines; never raises."""

    def close(self) -> None:
        """Let go of the folder; the files stay."""


class MemoryFiles:
    """A folder in memory, for the demonstration record; gone with the program."""

    def __init__(self) -> None:
        self.writer = ""
        self._held: dict[str, bytearray] = {}
        self._remembered = (0, 0)
        self._read_only = False

    @classmethod
    def copy_of(cls, folder: Path) -> Self:
        """Return a copy of the record in ``folder``, for reading without holding it.

        An app that is just saving may leave the copy's last line unfinished; opening the
        copy cuts it, and the folder itself is only read. The copy says read-only when the
        folder is. Raises :class:`RecordUnreadableError`.
        """
        from pocketpump.record.journal.marks import mark_of  # on the desktop alone

        files, mark = cls(), mark_of(folder)
        files.writer, files._remembered = mark.writer, mark.remembered
        try:
            paths = sorted(folder.iterdir()) if folder.is_dir() else []
            for path in paths:
                if is_record(path.name) and path.is_file():
                    files.append(path.name, path.read_bytes())
        except OSError as error:
            raise RecordUnreadableError from error
        files._read_only = not os.access(folder, os.W_OK)
        return files

    def names(self) -> list[str]:
        """Return the names of the files, oldest first."""
        return list(self._held)

    def read(self, name: str) -> bytes:
        """Return a copy of all bytes of a file."""
        return bytes(self._file(name))

    def append(self, name: str, data: bytes) -> None:
        """Write ``data`` at the end of a file."""
        self._held.setdefault(name, bytearray()).extend(data)

    def sync(self, name: str) -> None:
        """Check that the file is there; memory needs no flushing."""
        self._file(name)

    def size(self, name: str) -> int:
        """Return the length of a file in bytes."""
        return len(self._file(name))

    def truncate(self, name: str, size: int) -> None:
        """Cut a file to ``size`` bytes."""
        del self._file(name)[size:]

    def replace(self, source: str, target: str) -> None:
        """Rename a file over another."""
        self._held[target] = self._file(source)
        del self._held[source]

    def remove(self, name: str) -> None:
        """Take a file away."""
        self._file(name)
        del self._held[name]

    def forget_rest(self) -> None:
        """Do nothing: there is nothing without a name."""

    def renew(self, _name: str, /) -> bool:
        """Tell that the file is still the same: nobody else can reach it."""
        return False

    def read_only(self, _name: str, /) -> bool:
        """Tell whether this is a copy of a folder that can only be read."""
        return self._read_only

    def remembered(self) -> tuple[int, int]:
        """Return what was known of the folder of which this is a copy."""
        return self._remembered

    def remember(self, generation: int, number: int) -> None:
        """Keep nothing: there is no place beside the memory."""

    def close(self) -> None:
        """Keep everything: the files may be opened again while the program runs."""

    def _file(self, name: str) -> bytearray:
        if name not in self._held:
            raise FileNotFoundError(name)
        return self._held[name]
