"""Runs the screens in the person's own browser, from this machine, for this machine only."""

from __future__ import annotations

import os
import signal
import socket
import sys
import tempfile
import threading
import webbrowser
from collections.abc import Awaitable, Callable, Iterator, MutableMapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import flet as ft
import flet_web.fastapi  # type: ignore[import-untyped]
import uvicorn
from starlette.websockets import WebSocketDisconnect

from pocketpump.app.fonts import put_fonts
from pocketpump.app.index import CONTENT_SECURITY_POLICY, local_index
from pocketpump.core.errors import PocketPumpError

HOST = "127.0.0.1"
DEFAULT_PORT = 8377
"""Fixed, so that a bookmark keeps working; another free one is taken if it is busy."""

_Message = MutableMapping[str, Any]
_Receive = Callable[[], Awaitable[_Message]]
_Send = Callable[[_Message], Awaitable[None]]
_Asgi = Callable[[_Message, _Receive, _Send], Awaitable[None]]


class ServeError(PocketPumpError):
    """The app could not be offered to the browser."""


class _OnlyFromHere:
    """Answers only pages this server itself sent.

    Binding to 127.0.0.1 keeps other machines out, but not other web pages: any page
    open in the same browser may call a local address. A browser says which page is
    calling (Origin) and which name it used (Host), so both are checked.
    """

    def __init__(self, app: _Asgi, port: int) -> None:
        self._app = app
        self._hosts = {f"{name}:{port}".encode() for name in (HOST, "localhost")}
        self._origins = {b"http://" + host for host in self._hosts}

    async def __call__(self, scope: _Message, receive: _Receive, send: _Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        headers = dict(scope["headers"])
        origin = headers.get(b"origin")
        if headers.get(b"host") not in self._hosts or (origin and origin not in self._origins):
            await self._refuse(scope, receive, send)
            return
        # A tab closed while an answer was on its way is no error.
        with suppress(WebSocketDisconnect):
            await self._app(scope, receive, self._sealed(send))

    @staticmethod
    async def _refuse(scope: _Message, receive: _Receive, send: _Send) -> None:
        if scope["type"] == "websocket":
            await receive()
            await send({"type": "websocket.close", "code": 1008})
            return
        await send({"type": "http.response.start", "status": 403, "headers": []})
        await send({"type": "http.response.body", "body": b"Not from here."})

    @staticmethod
    def _sealed(send: _Send) -> _Send:
        async def sealed(message: _Message) -> None:
            if message["type"] == "http.response.start":
                kept = [
                    (name, value)
                    for name, value in message["headers"]
                    if name.lower() != b"access-control-allow-origin"
                ]
                policy = CONTENT_SECURITY_POLICY.encode()
                message["headers"] = [
                    *kept,
                    (b"content-security-policy", policy),
                    (b"referrer-policy", b"no-referrer"),
                ]
            await send(message)

        return sealed


def serve(
    main: Callable[[ft.Page], Any],
    *,
    port: int = DEFAULT_PORT,
    open_browser: bool = True,
    announce: Callable[[str], None] = print,
) -> None:
    """Offer ``main`` to this machine's browser until Ctrl-C or SIGTERM; then return.

    ``main`` is called once for every tab; what it closes over (the record) is shared by
    all of them. Raises :class:`ServeError` if no port can be had.
    """
    with _bound(port) as sock, tempfile.TemporaryDirectory() as folder:
        taken = sock.getsockname()[1]
        address = f"http://{HOST}:{taken}/"
        put_fonts(Path(folder))
        Path(folder, "index.html").write_text(local_index(), encoding="utf-8")
        app = flet_web.fastapi.app(
            main,
            assets_dir=folder,
            app_name="PocketPump",
            app_description="A private notebook with arithmetic for a baclofen pump.",
            route_url_strategy=ft.RouteUrlStrategy.HASH,
            no_cdn=True,
        )
        config = uvicorn.Config(
            _OnlyFromHere(app, taken),
            log_level="error",
            ws="websockets-sansio",
            timeout_graceful_shutdown=1,
        )
        server = uvicorn.Server(config)
        announce(f"PocketPump is at {address}  (Ctrl-C ends it)")
        if open_browser:
            _open(address)
        with _quiet_signals():
            server.run(sockets=[sock])


@contextmanager
def _bound(port: int) -> Iterator[socket.socket]:
    """A listening socket on ``port``, or on any free port if that one is busy."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as sock:
        # Without this, the port of a run that just ended counts as busy for a minute
        # on Linux and macOS; on Windows it would let two servers share one port.
        if sys.platform != "win32":
            sock.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            try:
                sock.bind((HOST, port))
            except OSError:
                sock.bind((HOST, 0))
        except OSError as error:
            raise ServeError(f"No free port on {HOST}: {error.strerror}.") from error
        yield sock


def _open(address: str) -> None:
    """Open the browser if there is one with a window; never wait for it."""
    graphical = sys.platform in ("win32", "darwin") or any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER")
    )
    if not graphical:
        return

    def attempt() -> None:
        with suppress(Exception):
            webbrowser.open(address)

    threading.Thread(target=attempt, daemon=True).start()


@contextmanager
def _quiet_signals() -> Iterator[None]:
    """Let uvicorn's own handlers end the run, and nothing after them.

    uvicorn raises the signal again once it has shut down, for whoever listened before;
    by default that would be a traceback (SIGINT) or death by signal (SIGTERM).
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {s: signal.signal(s, _ignore) for s in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _ignore(_number: int, _frame: object) -> None:
    """Do nothing: the server has ended already."""
