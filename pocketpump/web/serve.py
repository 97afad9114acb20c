"""A small file server for the built app: right types, compression, the security headers.

For trying the app on the own machine and for tests; any static file host can do the same.
"""

from __future__ import annotations

import functools
import gzip
import http.server
from contextlib import suppress
from pathlib import Path
from urllib.parse import unquote, urlsplit

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".wasm": "application/wasm",
    ".png": "image/png",
    ".woff2": "font/woff2",
    ".otf": "font/otf",
}
_SMALLER = {".html", ".js", ".mjs", ".json", ".webmanifest", ".wasm", ".otf", ".zip", ".bin", ""}


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

    def handle(self) -> None:
        """Answer requests until the browser hangs up, which it may do at any moment."""
        with suppress(ConnectionError):
            super().handle()

    def do_GET(self) -> None:
        """Answer with a file, or 404."""
        path = unquote(urlsplit(self.path).path)
        if not path.startswith(self.base):
            self._refuse()
            return
        inside = path[len(self.base) :] or "index.html"
        file = (self.folder / inside).resolve()
        if not file.is_file() or self.folder.resolve() not in file.parents:
            self._refuse()
            return
        accepts = "gzip" in self.headers.get("Accept-Encoding", "")
        small = accepts and file.suffix in _SMALLER
        body = _compressed(file, file.stat().st_mtime) if small else file.read_bytes()
        self.send_response(200)
        self.send_header("Content-Type", TYPES.get(file.suffix, "application/octet-stream"))
        self.send_header("Content-Length", str(len(body)))
        if small:
            self.send_header("Content-Encoding", "gzip")
        fixed = inside.startswith("r-")
        self.send_header(
            "Cache-Control", "public, max-age=31536000, immutable" if fixed else "no-cache"
        )
        for name, value in self.headers_to_add:
            self.send_header(name, value)
        self.end_headers()
        self.wfile.write(body)

    def _refuse(self) -> None:
        self.send_response(404)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:
        """Stay quiet, unless asked to speak."""
        if not self.quiet:
            super().log_message(format, *args)


def make_server(folder: Path, port: int = 0, *, base: str = "/") -> http.server.ThreadingHTTPServer:
    """Return a server for ``folder`` on this machine; call ``serve_forever`` on it."""
    handler = type("FolderHandler", (Handler,), {"folder": folder, "base": base})
    return http.server.ThreadingHTTPServer(("127.0.0.1", port), handler)
