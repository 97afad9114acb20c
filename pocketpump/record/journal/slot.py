"""One slot: an open handle that holds a header with a file's name, and the file's bytes.

Every slot begins with two copies of its header. A new header goes over the older copy and
is flushed, so a write torn half-way leaves the one before in force.
"""

import struct
import zlib
from collections.abc import Iterable
from typing import Protocol

from pocketpump.record.errors import StorageFullError

MAGIC = b"PPF1"
COPY_SPACING = 2048
COPY_SIZE = 512
DATA_START = 4096
_COPIES = (0, COPY_SPACING)

_FIXED = struct.Struct("<4sQH")
_CHECK = struct.Struct("<I")
MAX_NAME = COPY_SIZE - _FIXED.size - _CHECK.size


class Handle(Protocol):
    """One open file: the few things a browser's synchronous access handle can do."""

    def read(self, size: int, at: int) -> bytes:
        """Return up to ``size`` bytes from position ``at``."""
        ...

    def write(self, data: bytes, at: int) -> int:
        """Write at position ``at`` and return how many bytes were taken."""
        ...

    def truncate(self, size: int) -> None:
        """Make the file ``size`` bytes long, filling with zeros if it grows."""
        ...

    def get_size(self) -> int:
        """Return the length of the file."""
        ...

    def flush(self) -> None:
        """Return once everything written is safe on the device."""
        ...

    def close(self) -> None:
        """Give the file back."""
        ...


def encode_header(name: str, generation: int) -> bytes:
    """Return a header that gives a slot ``name`` ("" frees it); a long one is a ``ValueError``."""
    raw = name.encode()
    if len(raw) > MAX_NAME:
        raise ValueError(f"A file name can have at most {MAX_NAME} bytes.")
    body = _FIXED.pack(MAGIC, generation, len(raw)) + raw
    return (body + _CHECK.pack(zlib.crc32(body))).ljust(COPY_SIZE, b"\0")


def decode_header(raw: bytes) -> tuple[str, int] | None:
    """Return name and generation of a header, or None when it is torn or not there."""
    if len(raw) < COPY_SIZE or raw[:4] != MAGIC:
        return None
    _, generation, length = _FIXED.unpack_from(raw)
    end = _FIXED.size + length
    if length > MAX_NAME or _CHECK.unpack_from(raw, end)[0] != zlib.crc32(raw[:end]):
        return None
    return raw[_FIXED.size : end].decode(), generation


def to_slot(name: str, data: bytes) -> bytes:
    """Return the bytes of a slot that holds a file."""
    return encode_header(name, 1).ljust(DATA_START, b"\0") + data


def files_in(slots: Iterable[bytes]) -> tuple[dict[str, bytes], list[bytes]]:
    """Return the files in slots that were saved elsewhere, by name, and those of no readable name.

    Of two that claim one name, the one named last is the file.
    """
    named: dict[str, tuple[int, bytes]] = {}
    torn: list[bytes] = []
    for slot in slots:
        name, generation, _ = _in_force([slot[at : at + COPY_SIZE] for at in _COPIES])
        data = slot[DATA_START:]
        if not generation and data:
            torn.append(data)
        elif name and generation >= named.get(name, (0,))[0]:
            named[name] = generation, data
    return {name: data for name, (_, data) in named.items()}, torn


def _in_force(copies: Iterable[bytes]) -> tuple[str, int, int]:
    """Return name, generation and number of the header that counts; generation 0 for none."""
    name, generation, copy = "", 0, 1
    for number, header in enumerate(map(decode_header, copies)):
        if header is not None and header[1] > generation:
            (name, generation), copy = header, number
    return name, generation, copy


class Slot:
    """One handle with what its header says."""

    def __init__(self, handle: Handle) -> None:
        self.handle = handle
        # The copy in force; the next header goes over the other one.
        self.name, self.generation, self.copy = _in_force(
            handle.read(COPY_SIZE, at) for at in _COPIES
        )
        #: No readable header, yet data behind it: keep it, for somebody may want it back.
        self.damaged = self.generation == 0 and handle.get_size() > DATA_START

    @property
    def size(self) -> int:
        """How many bytes of a file it holds."""
        return max(0, self.handle.get_size() - DATA_START)

    def read_all(self) -> bytes:
        """Return all bytes of the file."""
        parts: list[bytes] = []
        done, size = 0, self.size
        while done < size:
            part = self.handle.read(size - done, DATA_START + done)
            if not part:
                break
            parts.append(part)
            done += len(part)
        return b"".join(parts)

    def write_all(self, data: bytes, at: int) -> None:
        """Write all of ``data`` at position ``at``; raises `StorageFullError` for want of room."""
        view = memoryview(data)
        while view:
            taken = self.handle.write(bytes(view), at)
            if taken <= 0:
                raise StorageFullError
            view = view[taken:]
            at += taken

    def write_header(self, name: str, generation: int) -> None:
        """Give the slot a name, durably; torn half-way, the header before is still in force."""
        copy = 1 - self.copy
        self.write_all(encode_header(name, generation), _COPIES[copy])
        self.handle.flush()
        self.name, self.generation, self.copy = name, generation, copy
