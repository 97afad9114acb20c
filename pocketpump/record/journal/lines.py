r"""How one line of the journal is written, checked and found again: pure functions on bytes.

A line is valid JSON, ``["<own>","<chain>",<number>,<body>]`` and a newline. ``own`` is a
checksum of number and body; ``chain`` one of the line before's chain and ``own``, so a line
that was taken out, swapped or doubled is noticed. Both are the first 32 hexadecimal digits
of a SHA-256. Line 0 is the header; its shape must stay the same in every later version, for
that is how an older PocketPump knows that it must not touch a newer record.
"""

import contextlib
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from itertools import pairwise
from typing import Any

from pocketpump.record.entry.bounds import is_shallow, load
from pocketpump.record.entry.json_text import to_text

FORMAT = "pocketpump-record"
START = b"0" * 32
_NUMBER = re.compile(r"[0-9]{1,12}")
_ENTRY_LEVEL = 4  # {"put": {table: {number: entry}}}
_SHAPE = re.compile(rb'\["([0-9a-f]{32})","([0-9a-f]{32})",([0-9]{1,12}),')


@dataclass(frozen=True, slots=True)
class Line:
    """One line whose own checksum holds; ``body`` is JSON text in UTF-8."""

    number: int
    own: bytes
    chain: bytes
    body: bytes


@dataclass(frozen=True, slots=True)
class Header:
    """What line 0 tells of a journal file.

    ``schema`` is the version of the documents, ``folded`` the number of lines that were
    carried over from earlier files, ``mended`` the names of damaged files whose readable
    lines are in this one, ``read`` the digests, by name, of other files whose lines are.
    """

    schema: int
    generation: int
    folded: int
    mended: tuple[str, ...] = ()
    read: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Scan:
    """What was found in the bytes of one journal file.

    ``good`` bytes at the start hold whole lines in unbroken order, and ``bodies`` are theirs
    without the header. ``damaged`` is true when that is not all that was once written there:
    then ``bodies`` are those of every line that still verifies, in order of number, and
    ``lost`` counts the lines that could not be read. ``chain`` and ``number`` are those of
    the last good line; ``unended`` is true when only its newline is missing.
    """

    header: Header | None
    bodies: list[Any]
    good: int
    chain: bytes
    number: int
    damaged: bool = False
    lost: int = 0
    unended: bool = False


def _digest(data: bytes) -> bytes:
    return sha256(data).hexdigest()[:32].encode()


def encode(number: int, chain_before: bytes, body: bytes) -> tuple[bytes, bytes]:
    """Return a whole line with its newline, and its chain."""
    own = _digest(b"%d,%b" % (number, body))
    chain = _digest(chain_before + own)
    return b'["%b","%b",%d,%b]\n' % (own, chain, number, body), chain


def encode_header(header: Header) -> tuple[bytes, bytes]:
    """Return the first line of a file, and its chain."""
    body = {
        "format": FORMAT,
        "schema": header.schema,
        "generation": header.generation,
        "folded": header.folded,
        "mended": list(header.mended),
        "read": dict(header.read),
    }
    return encode(0, START, to_text(body))


def decode(raw: bytes) -> Line | None:
    """Return the line in ``raw`` (no newline) if its own checksum holds."""
    shape = _SHAPE.match(raw)
    if shape is None or raw[-1:] != b"]":
        return None
    if _digest(raw[shape.start(3) : -1]) != shape[1]:
        return None
    return Line(int(shape[3]), shape[1], shape[2], raw[shape.end() : -1])


def _header(body: bytes) -> Header | None:
    try:
        told = load(body)
        if told["format"] != FORMAT:
            return None
        mended = tuple(told.get("mended", ()))
        read = {str(name): str(one) for name, one in told.get("read", {}).items()}
        numbers = (int(told["schema"]), int(told["generation"]), int(told["folded"]))
        return Header(*numbers, mended, read)
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError):
        return None


def scan(data: bytes) -> Scan:
    """Read the bytes of one journal file; never raises, whatever they are."""
    rows = data.split(b"\n")
    remainder = rows.pop()
    chain, good, number, header = START, 0, -1, None
    bodies: list[bytes] = []
    unended = False
    for row in [*rows, remainder]:
        line = decode(row)
        fits = line is not None and line.number == number + 1
        if line is None or not fits or line.chain != _digest(chain + line.own):
            break
        if line.number == 0:
            header = _header(line.body)
            if header is None:
                break
        else:
            bodies.append(line.body)
        number, chain = line.number, line.chain
        good += len(row) + 1
    if good > len(data):
        good, unended = len(data), True
    short = header is None or number < header.folded
    rest = list(_salvage(data[good:]))
    if short or rest:
        return _damaged(header, bodies, rest, data, good)
    loaded = _loads(bodies)
    if len(loaded) < len(bodies):  # whole, but written by something that is not PocketPump
        return _damaged(header, bodies, rest, data, good)
    return Scan(header, loaded, good, chain, number, unended=unended)


def _damaged(
    header: Header | None, bodies: list[bytes], rest: list[Line], data: bytes, good: int
) -> Scan:
    found = dict.fromkeys(enumerate(bodies, 1))
    for line in rest:
        if line.number == 0:
            header = header or _header(line.body)
        else:
            found[(line.number, line.body)] = None
    ordered = sorted(found, key=lambda pair: pair[0])
    numbers = {number for number, _ in ordered}
    expected = max(max(numbers, default=0), header.folded if header else 0)
    rows = [row for row in data[good:].split(b"\n") if row]
    broken = sum(decode(row) is None for row in rows) - (not good and bool(rows))
    lost = max(expected - len(numbers), broken, 0)
    loaded = _loads([body for _, body in ordered])
    lost += len(ordered) - len(loaded)
    return Scan(header, loaded, good, START, 0, damaged=True, lost=lost)


def _salvage(data: bytes) -> Iterator[Line]:
    """Find every line that verifies by itself, also where a newline was lost or added."""
    for row in data.split(b"\n"):
        line = decode(row)
        if line is not None:
            yield line
            continue
        starts = [match.start() for match in _SHAPE.finditer(row)]
        for start, end in pairwise([*starts, len(row)]):
            piece = row[start:end]
            line = decode(piece[: piece.rfind(b"]") + 1])
            if line is not None:
                yield line


def _loads(bodies: list[bytes]) -> list[Any]:
    """Return the bodies that are changes to tables; a whole checksum does not make them so."""
    loaded: list[Any] = []
    if all(map(is_shallow, bodies)):
        # One call for all is three times as fast.
        with contextlib.suppress(ValueError):
            loaded = json.loads((b"[" + b",".join(bodies) + b"]").decode())
    if len(loaded) != len(bodies):
        loaded = []
        for body in bodies:
            with contextlib.suppress(ValueError):
                loaded.append(load(body, _ENTRY_LEVEL))
    return [body for body in loaded if _is_change(body)]


def _is_change(body: Any) -> bool:
    if not isinstance(body, dict):
        return False
    put, gone, drop = body.get("put", {}), body.get("del", {}), body.get("drop", [])
    return (
        isinstance(put, dict)
        and isinstance(gone, dict)
        and isinstance(drop, list)
        and all(
            isinstance(documents, dict)
            and all(isinstance(document, dict) for document in documents.values())
            and all(map(_is_number, documents))
            for documents in put.values()
        )
        and all(isinstance(ids, list) and all(map(_is_number, ids)) for ids in gone.values())
        and all(isinstance(name, str) for name in drop)
    )


def _is_number(key: object) -> bool:
    """Tell whether ``key`` is a document's number, as TinyDB gives them."""
    return isinstance(key, str) and _NUMBER.fullmatch(key) is not None
