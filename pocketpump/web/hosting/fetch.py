"""Fetches one file from a host that may be slow, wrong or hostile.

Nothing is followed elsewhere, nothing is kept from one request to the next, and time and size
end: also of an answer that comes letter by letter, or that grows without end when unpacked.
"""

from __future__ import annotations

import hashlib
import http.client
import io
import socket
import ssl
import time
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

from pocketpump.core.errors import shown
from pocketpump.web.errors import BuildError
from pocketpump.web.hosting.address import Address

_CHUNK = 65_536
_MEGABYTE = 1_000_000


@dataclass(frozen=True, slots=True)
class Limits:
    """How long and how large an answer may be."""

    connect_seconds: float = 10
    silent_seconds: float = 15
    file_seconds: float = 180
    all_seconds: float = 1200
    file_bytes: int = 40 * _MEGABYTE


@dataclass(frozen=True, slots=True)
class Answer:
    """What a host answered to one request.

    ``headers`` have names in small letters. ``sent`` counts the bytes of the body on the way,
    ``size`` and ``sum`` (SHA-256) are of the unpacked ones, ``sum_sent`` of those on the way.
    ``trouble`` says why there is no whole answer.
    """

    status: int = 0
    headers: tuple[tuple[str, str], ...] = ()
    sent: int = 0
    size: int = 0
    sum: str = ""
    sum_sent: str = ""
    body: bytes = b""
    trouble: str = ""

    def all(self, name: str) -> tuple[str, ...]:
        """Return the values of every header called ``name``."""
        return tuple(value for key, value in self.headers if key == name)

    def header(self, name: str) -> str:
        """Return the header ``name``, or nothing; several are one, as browsers read them."""
        return ", ".join(self.all(name))


class UntrustedError(BuildError):
    """The host's certificate is none that this machine trusts."""


class _TooSlowError(OSError):
    """The answer takes longer than we wait."""


class _Reader(io.RawIOBase):
    """Reads from a socket until a set instant, however small the pieces that come."""

    def __init__(self, sock: socket.socket, end: float, silent: float) -> None:
        self._sock, self._end, self._silent = sock, end, silent

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        left = self._end - time.monotonic()
        if left <= 0:
            raise _TooSlowError
        self._sock.settimeout(min(left, self._silent))
        return self._sock.recv_into(buffer)


class _Socket:
    """As much of a socket as ``http.client`` asks for."""

    def __init__(self, reader: _Reader) -> None:
        self._reader = reader

    def makefile(self, *_args: object) -> io.BufferedReader:
        return io.BufferedReader(self._reader, _CHUNK)


def fetch(
    address: Address, path: str, limits: Limits, context: ssl.SSLContext, *, keep: bool = False
) -> Answer:
    """Return what the host answers for the absolute ``path``; with ``keep``, its body too.

    Raises :class:`BuildError` if no host answers there, and :class:`UntrustedError`.
    """
    sock = _connect(address, limits, context)
    with sock:
        try:
            return _ask(sock, address, path, limits, keep)
        except (TimeoutError, _TooSlowError):
            return Answer(trouble="did not come in time")
        except (OSError, http.client.HTTPException, zlib.error, ValueError) as error:
            return Answer(trouble=f"broke off ({type(error).__name__})")


def _connect(address: Address, limits: Limits, context: ssl.SSLContext) -> socket.socket:
    where = (address.host, address.port)
    try:
        plain = socket.create_connection(where, limits.connect_seconds)
    except (OSError, UnicodeError) as error:
        why = getattr(error, "strerror", None) or "no answer in time"
        raise BuildError(f"Nobody answers at {address.url}: {why}.") from None
    if address.scheme == "http":
        return plain
    try:
        return context.wrap_socket(plain, server_hostname=address.host)
    except ssl.SSLCertVerificationError as error:
        plain.close()
        raise UntrustedError(shown(error.verify_message)) from None
    except (OSError, ValueError):
        plain.close()
        raise BuildError(f"{address.url} does not speak https.") from None


def _ask(sock: socket.socket, address: Address, path: str, limits: Limits, keep: bool) -> Answer:
    end = time.monotonic() + limits.file_seconds
    sock.settimeout(limits.silent_seconds)
    sock.sendall(
        f"GET {path} HTTP/1.1\r\nHost: {address.authority}\r\nAccept-Encoding: gzip\r\n"
        "User-Agent: pocketpump-check\r\nAccept: */*\r\nConnection: close\r\n\r\n".encode("ascii")
    )
    wrapped = _Socket(_Reader(sock, end, limits.silent_seconds))
    response = http.client.HTTPResponse(cast(socket.socket, wrapped), method="GET")
    response.begin()
    headers = tuple((name.lower(), value) for name, value in response.getheaders())
    answer = Answer(response.status, headers)
    packed = answer.header("content-encoding").strip().lower()
    if packed not in ("", "identity", "gzip", "x-gzip"):
        return Answer(response.status, headers, trouble="came in a packing nobody asked for")
    return _read(response, answer, packed.endswith("gzip"), limits, keep)


def _read(
    response: http.client.HTTPResponse, answer: Answer, packed: bool, limits: Limits, keep: bool
) -> Answer:
    status, headers = answer.status, answer.headers
    plain_sum, sent_sum = hashlib.sha256(), hashlib.sha256()
    sent = size = 0
    kept = bytearray()
    unpack = zlib.decompressobj(31) if packed else None
    while piece := response.read(_CHUNK):
        sent += len(piece)
        sent_sum.update(piece)
        for part in _unpacked(unpack, piece):
            size += len(part)
            plain_sum.update(part)
            if keep:
                kept += part
            if max(size, sent) > limits.file_bytes:
                return Answer(status, headers, trouble="is larger than any file of the app")
    promised = answer.header("content-length")
    if (promised.isdecimal() and sent < int(promised[:12])) or (unpack and sent and not unpack.eof):
        return Answer(status, headers, trouble="broke off")
    return Answer(
        status, headers, sent, size, plain_sum.hexdigest(), sent_sum.hexdigest(), bytes(kept)
    )


def _unpacked(unpack: zlib._Decompress | None, piece: bytes) -> Iterator[bytes]:
    """Unpack ``piece``, never more than a little at a time."""
    if unpack is None:
        yield piece
        return
    part = unpack.decompress(piece, _CHUNK)
    while part:
        yield part
        part = unpack.decompress(unpack.unconsumed_tail, _CHUNK)
