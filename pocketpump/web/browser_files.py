"""The record's files inside the browser: origin-private storage, written synchronously.

Runs in the Python worker. The page's worker script has opened the handles (the only
asynchronous part) before any Python runs; from then on every call is done when it returns.
"""

from __future__ import annotations

import errno
import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any

from pocketpump.record.errors import StorageFullError
from pocketpump.record.journal.slot import Handle
from pocketpump.record.journal.slots import SlotFiles
from pocketpump.web.errors import StorageBusyError, StorageFailedError, StorageUnavailableError


@contextmanager
def _as_os_error() -> Iterator[None]:
    """Turn what a handle throws in JavaScript into the error the same failure has on disk."""
    try:
        yield
    except OSError:
        raise
    except Exception as error:
        if "Quota" in f"{getattr(error, 'name', '')} {error}":
            raise StorageFullError from error
        raise OSError(errno.EIO, f"The browser could not use its file: {error}") from error


Keep = Callable[[tuple[int, int]], None]
"""Keeps the numbers of the newest generation and of its lines where the files are not."""


def _forget(_mark: tuple[int, int]) -> None:
    """Keep nothing."""


class OpfsHandle:
    """A browser's ``FileSystemSyncAccessHandle`` behind the :class:`Handle` protocol."""

    def __init__(self, proxy: Any) -> None:
        self._proxy = proxy

    def read(self, size: int, at: int) -> bytes:
        """Return up to ``size`` bytes from position ``at``."""
        with _as_os_error():
            found = self._proxy.readAt(size, at)
            return bytes(found.to_py())

    def write(self, data: bytes, at: int) -> int:
        """Write at position ``at`` and return how many bytes were taken."""
        with _as_os_error():
            return int(self._proxy.writeAt(data, at))

    def truncate(self, size: int) -> None:
        """Make the file ``size`` bytes long."""
        with _as_os_error():
            self._proxy.truncate(size)

    def get_size(self) -> int:
        """Return the length of the file."""
        with _as_os_error():
            return int(self._proxy.getSize())

    def flush(self) -> None:
        """Return once everything written is safe on the device."""
        with _as_os_error():
            self._proxy.flush()

    def close(self) -> None:
        """Give the file back."""
        with _as_os_error():
            self._proxy.close()


class BrowserFiles(SlotFiles):
    """The synchronous file protocol of the record over origin-private browser files.

    Whether a file is still there cannot be asked synchronously: the worker's script looks for
    what was flushed before anything more is told to the page.
    """

    _mark = (0, 0)
    _keep: Keep

    @classmethod
    def from_worker(
        cls, handles: Sequence[Any], problem: str = "", mark: str = "", keep: Keep = _forget
    ) -> BrowserFiles:
        """Take over the handles the worker script opened.

        ``problem`` is what kept it from opening them: "busy", "unavailable", "failed" or "".
        ``mark`` is what the page held apart from the files ("" for nothing), and ``keep`` lets it
        hold anew.
        """
        if problem == "busy":
            raise StorageBusyError
        if problem == "failed":
            raise StorageFailedError
        if problem:
            raise StorageUnavailableError
        wrapped: list[Handle] = [OpfsHandle(proxy) for proxy in handles]
        files = cls(wrapped)
        files._keep = keep
        with suppress(ValueError, TypeError):
            generation, number = json.loads(mark)
            files._mark = (int(generation), int(number))
        return files

    def remembered(self) -> tuple[int, int]:
        """Return what the page's mark says."""
        return self._mark

    def remember(self, generation: int, number: int) -> None:
        """Let the page keep the mark."""
        self._mark = (generation, number)
        self._keep(self._mark)
