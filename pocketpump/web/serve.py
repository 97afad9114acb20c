"""A small file server for the built app: right types, compression, the security headers.

For trying the app on the own machine and for tests; any static file host can do the same.
"""

from __future__ import annotations

import functools
import gzip
import http.server
import ipaddress
import socket
import ssl
from contextlib import suppress
from pathlib import Path
from urllib.parse import unquote, urlsplit

from pocketpump.web.errors import BuildError
from pocketpump.web.hosting import rules
from pocketpump.web.hosting.listed import page_says

HERE = "127.0.0.1"


@functools.lru_cache(maxsize=256)
def _compressed(path: Path, changed: float) -> bytes:
    del changed  # part of the key only
    return gzip.compress(path.read_bytes(), 6, mtime=0)


class Handler(http.server.BaseHTTPRequestHandler):
    """Serves one folder at one base path."""

    protocol_version = "HTTP/1.1"
    folder: Path
    base = "/"
    headers_to_add: tuple[tuple[str, str], ...] = ()
    quiet = True
    timeout = 60

    def handle(self) -> None:
        """Answer requests until the browser hangs up, which it may do at any moment."""
        with suppress(ConnectionError, ssl.SSLError, TimeoutError):
            super().handle()

    def do_GET(self) -> None:
        """Answer with a file, or 404."""
        path = unquote(urlsplit(self.path).path)
        if path + "/" == self.base:
            self._lead_to(self.base)
            return
        inside = path[len(self.base) :] or "index.html"
        file = self._file(inside) if path.startswith(self.base) else None
        if file is None:
            self._refuse()
            return
        accepts = "gzip" in self.headers.get("Accept-Encoding", "")
        small = accepts and rules.is_compressed(inside)
        body = _compressed(file, file.stat().st_mtime) if small else file.read_bytes()
        self.send_response(200)
        self.send_header("Content-Type", rules.type_to_send(inside))
        self.send_header("Content-Length", str(len(body)))
        if small:
            self.send_header("Content-Encoding", "gzip")
        self.send_header("Cache-Control", rules.caching(inside))
        for name, value in self.headers_to_add:
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(body)

    def _file(self, inside: str) -> Path | None:
        try:
            file = (self.folder / inside).resolve()
            found = file.is_file() and self.folder.resolve() in file.parents
        except (OSError, ValueError):  # a name too long for the disk, or with a zero byte in it
            return None
        return file if found else None

    def _lead_to(self, path: str) -> None:
        self.send_response(301)
        self.send_header("Location", path)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def _refuse(self) -> None:
        self.send_response(404)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:
        """Stay quiet, unless asked to speak."""
        if not self.quiet:
            super().log_message(format, *args)


class _Server(http.server.ThreadingHTTPServer):
    """Opens each connection in the thread that answers it, so that none can hold up the others."""

    def handle_error(self, request: object, client_address: object) -> None:
        """Say nothing: a browser that goes away, or does not trust us, is no fault of ours."""


class _Server6(_Server):
    address_family = socket.AF_INET6


def make_server(
    folder: Path,
    port: int = 0,
    *,
    base: str = "/",
    host: str = HERE,
    context: ssl.SSLContext | None = None,
) -> http.server.ThreadingHTTPServer:
    """Return a server for ``folder`` at ``host``; call ``serve_forever`` on it.

    With ``context`` it speaks https. Raises :class:`BuildError` if the address cannot be used.
    """
    says = page_says((folder / "index.html").read_bytes())
    added = rules.security(says.policy) if says else ()
    about = {"folder": folder, "base": base, "headers_to_add": added}
    handler = type("FolderHandler", (Handler,), about)
    kind = _Server6 if ":" in host else _Server
    try:
        server = kind((host, port), handler)
    except OSError as error:
        raise BuildError(f"{host} cannot be used with port {port}: {error.strerror}.") from None
    if context is not None:
        server.socket = context.wrap_socket(
            server.socket, server_side=True, do_handshake_on_connect=False
        )
    return server


def checked_host(text: str) -> str:
    """Return ``text``, an address of this machine; raises :class:`BuildError` if it is none."""
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        address = None
    if address is None or address.is_unspecified or address.is_multicast:
        raise BuildError(
            "--host must be the address of this machine in the network that the phone is in,"
            " like 192.168.1.20."
        )
    return str(address)
