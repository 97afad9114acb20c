"""Makes a memory snapshot small enough to ship.

Of the 40 MB of memory about half is empty, and the first megabytes are constants that the
wasm file brings along anyway. Both are left out; the list of what goes where travels in the
worker script, with a sum over the whole that tells a damaged file from a good one.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

from pocketpump.web.errors import BuildError

PAGE = 4096
#: Shorter stretches are not worth an entry in the list.
SHORTEST = 4 * PAGE

SHIPPED, FROM_WASM = 0, 1


@dataclass(frozen=True)
class Packed:
    """A snapshot without what the browser has anyway.

    ``runs`` lists (start, length, kind) in the order of the image: kind 0 is taken from
    ``data``, kind 1 from the fresh memory; everything else is zero.
    """

    data: bytes
    size: int
    heap_start: int
    sum: int
    runs: tuple[tuple[int, int, int], ...]


def data_segments(wasm: bytes) -> list[tuple[int, bytes]]:
    """Return (address, bytes) of the constants in a WebAssembly file."""
    if wasm[:4] != b"\0asm":
        raise BuildError("That is not a WebAssembly file.")
    at = 8
    while at < len(wasm):
        section = wasm[at]
        length, at = _number(wasm, at + 1)
        if section == 11:
            return _segments(wasm, at)
        at += length
    return []


def _segments(wasm: bytes, at: int) -> list[tuple[int, bytes]]:
    found: list[tuple[int, bytes]] = []
    count, at = _number(wasm, at)
    for _ in range(count):
        # Kind 0 with a constant address (0x41 … 0x0b) is all the linker writes here.
        if wasm[at] != 0 or wasm[at + 1] != 0x41:
            raise BuildError("A data segment of the wasm file has an unknown form.")
        address, at = _number(wasm, at + 2)
        if wasm[at] != 0x0B:
            raise BuildError("A data segment of the wasm file has an unknown form.")
        length, at = _number(wasm, at + 1)
        found.append((address, wasm[at : at + length]))
        at += length
    return found


def _number(data: bytes, at: int) -> tuple[int, int]:
    """Read a LEB128 number (addresses in the lower 2 GB read the same signed or not)."""
    value = shift = 0
    while True:
        byte = data[at]
        at += 1
        value |= (byte & 0x7F) << shift
        shift += 7
        if byte < 0x80:
            return value, at


def constants(wasm: bytes, size: int) -> bytes:
    """Return memory as it is right after the wasm file was loaded, before anything ran."""
    memory = bytearray(size)
    for address, data in data_segments(wasm):
        memory[address : address + len(data)] = data
    return bytes(memory)


def pack(image: bytes, wasm: bytes) -> Packed:
    """Leave out of ``image`` (Pyodide's snapshot) all that need not travel."""
    _, heap_start, _, _ = struct.unpack_from("<4I", image)
    if len(image) % 4 or not 0 < heap_start < len(image):
        raise BuildError("Pyodide's snapshot has an unknown form.")
    base = constants(wasm, len(image) - heap_start)
    zero = bytes(PAGE)
    kinds: list[int | None] = []
    for start in range(heap_start, len(image), PAGE):
        page = image[start : start + PAGE]
        where = slice(start - heap_start, start - heap_start + len(page))
        if page == zero[: len(page)]:
            kinds.append(None)
        elif page == base[where]:
            kinds.append(FROM_WASM)
        else:
            kinds.append(SHIPPED)
    runs = _runs(kinds, heap_start, len(image))
    data = b"".join(image[start : start + n] for start, n, kind in runs if kind == SHIPPED)
    total = sum(memoryview(image).cast("I")) & 0xFFFFFFFF
    return Packed(data, len(image), heap_start, total, tuple(runs))


def _runs(kinds: list[int | None], heap_start: int, size: int) -> list[tuple[int, int, int]]:
    """Join pages of one kind; ship short gaps along rather than listing them."""
    joined: list[list[int | None]] = [[0, heap_start, SHIPPED]]
    for number, kind in enumerate(kinds):
        start = heap_start + number * PAGE
        length = min(PAGE, size - start)
        if joined[-1][2] == kind:
            joined[-1][1] = int(joined[-1][1] or 0) + length
        else:
            joined.append([start, length, kind])
    runs: list[tuple[int, int, int]] = []
    for start_, length_, kind in joined:
        start, length = int(start_ or 0), int(length_ or 0)
        keep = kind if kind == SHIPPED or length >= SHORTEST else SHIPPED
        if keep is None:
            continue
        last = runs[-1] if runs else None
        if last and last[2] == keep and last[0] + last[1] == start:
            runs[-1] = (last[0], last[1] + length, keep)
        else:
            runs.append((start, length, keep))
    return runs
