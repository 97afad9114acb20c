"""What is known of a record outside of its folder: that there is one, and how far it went.

A folder that was emptied, moved or rolled back looks like a new one from inside. So each device
keeps a small file in the user's own state folder, one for each record's folder. It also holds
the writer: the part of the names under which only this device writes (see
:mod:`pocketpump.record.journal.file_names`). Losing the mark loses no entry.
"""

import contextlib
import hashlib
import json
import os
import platform
import re
import secrets
from pathlib import Path
from typing import Any

from pocketpump.record.paths import state_folder

_WRITER = re.compile(r"[0-9a-f]{8}")


class Mark:
    """The mark of the record in one folder; ``state`` is where marks are kept.

    Nothing here raises: where no mark can be kept the record works without one.
    """

    def __init__(self, folder: Path, state: Path) -> None:
        self._folder = str(_resolved(folder))
        self._state = state
        self._held = self._read()

    @property
    def writer(self) -> str:
        """The writer of this device in this folder; "" when none was chosen yet."""
        told = self._held.get("writer")
        return told if isinstance(told, str) and _WRITER.fullmatch(told) else ""

    @property
    def remembered(self) -> tuple[int, int]:
        """Generation and number of lines of the newest file when last saved; (0, 0) if unknown."""
        told = (self._held.get("generation"), self._held.get("number"))
        return (told[0], told[1]) if type(told[0]) is type(told[1]) is int else (0, 0)

    def choose_writer(self) -> str:
        """Return the writer, chosen now if there was none."""
        if not self.writer:
            self._write({**self._held, "writer": secrets.token_hex(4)})
            if not self._path().exists():
                # Chosen anew at every start, names would grow without end.
                self._held["writer"] = _digest(f"{platform.node()}\n{self._folder}")[:8]
        return self.writer

    def remember(self, generation: int, number: int) -> None:
        """Note how far the newest file goes; (0, 0) when there shall be nothing any more."""
        self._write({**self._held, "generation": generation, "number": number})

    def _path(self) -> Path:
        # The folder's own number on the disk: a state folder that was copied to another device,
        # or is shared with it, must not make two devices one writer.
        with contextlib.suppress(OSError):
            number = self._state.stat().st_ino
            return self._state / f"{_digest(self._folder)[:16]}-{number:x}.json"
        return self._state / f"{_digest(self._folder)[:16]}.json"

    def _read(self) -> dict[str, Any]:
        with contextlib.suppress(OSError, ValueError):
            held = json.loads(self._path().read_text(encoding="utf-8"))
            if isinstance(held, dict):
                return held
        return {}

    def _write(self, held: dict[str, Any]) -> None:
        # Not flushed: it may lag behind the record, and then only tells less.
        self._held = {**held, "folder": self._folder}
        with contextlib.suppress(OSError):
            self._state.mkdir(mode=0o700, parents=True, exist_ok=True)
            path = self._path()
            part = path.with_suffix(f".{os.getpid()}.part")
            part.touch(mode=0o600)
            part.write_text(json.dumps(self._held), encoding="utf-8")
            part.replace(path)


def mark_of(folder: Path, state: Path | None = None) -> Mark:
    """Return the mark of the record in ``folder``; kept in the user's state folder by default."""
    return Mark(folder, state or state_folder(os.environ))


def _resolved(folder: Path) -> Path:
    with contextlib.suppress(OSError, RuntimeError):
        return folder.resolve()
    return folder.absolute()


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()
