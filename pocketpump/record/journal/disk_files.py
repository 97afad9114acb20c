"""The record's files in a folder on disk, held by one PocketPump at a time."""

import contextlib
import errno
import os
from pathlib import Path
from typing import Any

from pocketpump.record.errors import RecordInUseError, RecordUnreadableError
from pocketpump.record.journal.file_names import LOCK


class DiskFiles:
    """A folder on disk, made with rights for its owner only and held by one process.

    ``state`` is where the mark of the folder is kept (see :mod:`pocketpump.record.journal.marks`);
    the user's state folder if not given. Raises :class:`RecordInUseError` when another process, or
    another object in this one, holds the folder, and :class:`RecordUnreadableError` when it cannot
    be made or entered. A folder that can only be read is read.
    """

    def __init__(self, folder: Path, state: Path | None = None) -> None:
        self._folder = folder
        self._handles: dict[str, int] = {}
        self._unnamed: set[str] = set()
        self._seen: dict[str, tuple[int, int, int]] = {}
        self._lock: Any = None
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._hold()
        except OSError as error:
            self._only_read(error)
        # The browser build never comes here and need not carry or load these.
        from pocketpump.record.journal.marks import mark_of

        mark = mark_of(folder, state)
        self.writer = mark.choose_writer() if self._lock else mark.writer
        self._mark = mark

    def names(self) -> list[str]:
        """Return the names of all files but the lock's."""
        found = [path for path in self._folder.iterdir() if path.name != LOCK]
        return [path.name for path in found if path.is_file()]

    def read(self, name: str) -> bytes:
        """Return all bytes of a file."""
        self._seen[name] = _identity((self._folder / name).stat())
        return (self._folder / name).read_bytes()

    def append(self, name: str, data: bytes) -> None:
        """Write all of ``data``, however few bytes the system takes at a time."""
        handle = self._handle(name)
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(handle, rest) :]

    def sync(self, name: str) -> None:
        """Flush the file, and the folder too when the file is new in it."""
        handle = self._handle(name)
        _sync_handle(handle)
        self._seen[name] = _identity(os.fstat(handle))
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
        if source in self._seen:
            self._seen[target] = self._seen.pop(source)
        self._sync_folder()

    def remove(self, name: str) -> None:
        """Take a file away."""
        self._let_go(name)
        (self._folder / name).unlink()

    def forget_rest(self) -> None:
        """Do nothing: what was removed is the system's to overwrite."""

    def renew(self, name: str, /) -> bool:
        """Hold what was read or written last, and the lock, against what is at their names now."""
        if self._lock is not None and _there(self._folder / LOCK)[:2] != self._locked:
            self._lock.release()
            self._hold()
        seen = self._seen.get(name)
        if seen is None or _there(self._folder / name) == seen:
            return False
        del self._seen[name]
        self._let_go(name)
        # It may have come there just now: its name is to be flushed with it.
        self._unnamed.add(name)
        return True

    def read_only(self, name: str, /) -> bool:
        """Tell whether the folder or the file can only be read."""
        path = self._folder / name
        return self._lock is None or (path.exists() and not os.access(path, os.W_OK))

    def remembered(self) -> tuple[int, int]:
        """Return what the mark of the folder says."""
        return self._mark.remembered

    def remember(self, generation: int, number: int) -> None:
        """Note it in the mark of the folder."""
        self._mark.remember(generation, number)

    def close(self) -> None:
        """Close every handle and free the lock."""
        for name in list(self._handles):
            self._let_go(name)
        if self._lock is not None:
            self._lock.release()

    def _hold(self) -> None:
        from filelock import FileLock, Timeout

        try:
            lock = FileLock(self._folder / LOCK, mode=0o600, thread_local=False)
            lock.acquire(blocking=False)
        except Timeout as error:
            raise RecordInUseError from error
        self._lock = lock
        self._locked = _there(self._folder / LOCK)[:2]

    def _only_read(self, error: OSError) -> None:
        """Go on without holding the folder, if it can be read at all."""
        try:
            self.names()
        except OSError:
            raise RecordUnreadableError from error

    def _handle(self, name: str) -> int:
        if self._lock is None:
            raise OSError(errno.EROFS, "the folder can only be read")
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


def had_record(folder: Path) -> bool:
    """Tell whether this device once saved something to a record in ``folder``."""
    from pocketpump.record.journal.marks import mark_of

    return mark_of(folder).remembered > (0, 0)


def _identity(told: os.stat_result) -> tuple[int, int, int]:
    """Return what changes when a file is replaced (its number) or written to (its time).

    Some systems number no files or keep coarse times; then only the size is compared, elsewhere.
    """
    return told.st_dev, told.st_ino, told.st_mtime_ns


def _there(path: Path) -> tuple[int, int, int]:
    """Return the identity of what is at ``path``; zeros when nothing is."""
    with contextlib.suppress(FileNotFoundError):
        return _identity(path.stat())
    return 0, 0, 0


def _sync_handle(handle: int) -> None:
    # On Apple systems plain fsync leaves the bytes in the drive's own cache.
    with contextlib.suppress(ImportError, AttributeError, OSError):
        import fcntl

        fcntl.fcntl(handle, fcntl.F_FULLFSYNC)  # type: ignore[attr-defined, unused-ignore]
        return
    os.fsync(handle)
