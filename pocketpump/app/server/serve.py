"""Runs the screens in the person's own browser, from this machine, for this machine only."""

from __future__ import annotations

import os
import signal
import socket
import sys
import tempfile
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import flet as ft
import flet_web.fastapi  # type: ignore[import-untyped]
import uvicorn

from pocketpump.app.look.fonts import put_fonts
from pocketpump.app.server.access_gate import HOST, Gate, Keys
from pocketpump.app.server.index_page import put_page
from pocketpump.core.errors import PocketPumpError

DEFAULT_PORT = 8377
"""Fixed, so that the browser finds its own settings again; another is taken if it is busy."""


class ServeError(PocketPumpError):
    """The app could not be offered to the browser."""


def _announce(text: str) -> None:
    print(text, flush=True)  # at once, also when a program reads it


def serve(
    main: Callable[[ft.Page], Any],
    *,
    port: int = DEFAULT_PORT,
    open_browser: bool = True,
    announce: Callable[[str], None] = _announce,
) -> None:
    """Offer ``main`` to this machine's browser until Ctrl-C or SIGTERM; then return.

    ``main`` is called once for every tab; what it closes over (the record) is shared by
    all of them. The announced address holds the key of this start (see :mod:`.access_gate`).
    Raises :class:`ServeError` if no port can be had.
    """
    with _bound(port) as sock, tempfile.TemporaryDirectory() as folder:
        taken = sock.getsockname()[1]
        address, keys = f"http://{HOST}:{taken}/?key=", Keys()
        put_fonts(Path(folder))
        nonce = put_page(Path(folder))
        app = flet_web.fastapi.app(
            main,
            assets_dir=folder,
            app_name="PocketPump",
            app_description="A private notebook with arithmetic for a baclofen pump.",
            route_url_strategy=ft.RouteUrlStrategy.HASH,
            no_cdn=True,
        )
        _take_away_docs(app)
        config = uvicorn.Config(
            Gate(app, taken, keys, nonce),
            log_level="error",
            ws="websockets-sansio",
            timeout_graceful_shutdown=1,
            server_header=False,
        )
        server = uvicorn.Server(config)
        announce(f"PocketPump is at {address}{keys.printed}  (Ctrl-C ends it)")
        if open_browser:
            _open(address + keys.once)
        with _quiet_signals():
            server.run(sockets=[sock])


def _take_away_docs(app: Any) -> None:
    """Take away the pages by which the web framework describes itself: nobody needs them."""
    own = {"/docs", "/docs/oauth2-redirect", "/redoc", "/openapi.json"}
    app.router.routes = [one for one in app.router.routes if getattr(one, "path", "") not in own]


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
