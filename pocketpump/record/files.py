"""The few things the journal asks of a place where files are kept, and two such places."""

import contextlib
import os
from pathlib import Path
from typing import Protocol, Self

from pocketpump.record.errors import RecordInUseError, RecordUnreadableError

_LOCK = "in-use.lock"


class Files(Protocol):
    """A flat folder of named byte files with one writer.

    Everything is synchronous. Any method may raise :class:`OSError`; after an error the
    bytes at the end of the file written to are unknown until :meth:`truncate` succeeds.
    """

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

    def close(self) -> None:
        """Let go of the folder; the files stay."""


class DiskFiles:
    """A folder on disk, made with rights for its owner only and held by one process.

    Raises :class:`RecordInUseError` when another process, or another object in this one,
    holds the folder, and :class:`RecordUnreadableError` when it cannot be made or entered.
    """

    def __init__(self, folder: Path) -> None:
        # The browser build never comes here and need not carry or load this package.
        from filelock import FileLock, Timeout

        self._folder = folder
        self._handles: dict[str, int] = {}
        self._unnamed: set[str] = set()
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._lock = FileLock(folder / _LOCK, mode=0o600, thread_local=False)
            self._lock.acquire(blocking=False)
        except Timeout as error:
            raise RecordInUseError from error
        except OSError as error:
            raise RecordUnreadableError from error

    def names(self) -> list[str]:
        """Return the names of all files but the lock's."""
        return [path.name for path in self._folder.iterdir() if path.name != _LOCK]

    def read(self, name: str) -> bytes:
        """Return all bytes of a file."""
        return (self._folder / name).read_bytes()

    def append(self, name: str, data: bytes) -> None:
        """Write all of ``data``, however few bytes the system takes at a time."""
        handle = self._handle(name)
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]

    def sync(self, name: str) -> None:
        """Flush the file, and the folder too when the file is new in it."""
        _sync_handle(self._handle(name))
        if name in self._unnamed:
            self._sync_folder()
            self._unnamed.discard(name)

    def size(self, name: str) -> int:
        """Return the length of a file in bytes."""
        return (self._folder / name).stat().st_size

    def truncate(self, name: str, size: int) -> None:
        """Cut a file to ``size`` bytes."""
        os.ftruncate(self._handle(name), size)

    def replace(self, source: str, target: str) -> None:
        """Rename in one step and flush the folder."""
        self._let_go(source)
        self._let_go(target)
        (self._folder / source).replace(self._folder / target)
        self._sync_folder()

    def remove(self, name: str) -> None:
        """Take a file away."""
        self._let_go(name)
        (self._folder / name).unlink()

    def close(self) -> None:
        """Close every handle and free the lock."""
        for name in list(self._handles):
            self._let_go(name)
        self._lock.release()

    def _handle(self, name: str) -> int:
        if name not in self._handles:
            path = self._folder / name
            if not path.exists():
                self._unnamed.add(name)
            flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
            self._handles[name] = os.open(path, flags, 0o600)
        return self._handles[name]

    def _let_go(self, name: str) -> None:
        handle = self._handles.pop(name, None)
        if handle is not None:
            os.close(handle)

    def _sync_folder(self) -> None:
        if os.name == "nt":  # a directory cannot be opened there; the rename is journaled
            return
        handle = os.open(self._folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sync_handle(handle: int) -> None:
    # On Apple systems plain fsync leaves the bytes in the drive's own cache.
    with contextlib.suppress(ImportError, AttributeError, OSError):
        import fcntl

        fcntl.fcntl(handle, fcntl.F_FULLFSYNC)  # type: ignore[attr-defined, unused-ignore]
        return
    os.fsync(handle)


class MemoryFiles:
    """A folder in memory, for the demonstration record; gone with the program."""

    def __init__(self) -> None:
        self._held: dict[str, bytearray] = {}

    @classmethod
    def copy_of(cls, folder: Path) -> Self:
        """Return a copy of the record in ``folder``, for reading without holding it.

        An app that is just saving may leave the copy's last line unfinished; opening the
        copy cuts it, and the folder itself is only read.
        """
        files = cls()
        for path in sorted(folder.glob("record-*.jsonl")):
            files.append(path.name, path.read_bytes())
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

    def close(self) -> None:
        """Keep everything: the files may be opened again while the program runs."""

    def _file(self, name: str) -> bytearray:
        if name not in self._held:
            raise FileNotFoundError(name)
        return self._held[name]
