"""The gate before the local server: who may come in, and what every answer carries.

Binding to 127.0.0.1 keeps other machines out, but neither other web pages (any page open in
the same browser may call a local address) nor other users and programs of this machine. So a
browser must say that it is on our own page (Host and Origin), and must hold the key of this
start, which only whoever can read our output was ever told.
"""

import asyncio
import hmac
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from contextlib import suppress
from pathlib import PurePosixPath
from typing import Any, cast
from urllib.parse import parse_qs

from starlette.websockets import WebSocketDisconnect

from pocketpump.app.server.content_policy import framed_nowhere, policy, scripts_in, styles_of

HOST = "127.0.0.1"

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Asgi = Callable[[Message, Receive, Send], Awaitable[None]]

_HEADERS = (
    (b"referrer-policy", b"no-referrer"),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"geolocation=(), microphone=(), payment=(), usb=()"),
)
_PARTLY = (b"if-none-match", b"if-modified-since", b"if-range", b"range")
_DROPPED = (b"access-control-allow-origin", b"server")
_CLOSED = (
    b'<!doctype html><html lang="en"><meta charset="utf-8">'
    b'<meta name="viewport" content="width=device-width"><title>PocketPump</title>'
    b"<style>body { font: 20px/1.5 sans-serif; max-width: 34em; margin: 3em auto;"
    b" padding: 0 1em; }</style>"
    b"<h1>PocketPump is closed here</h1><p>The address changes with every start, so that nobody"
    b" else on this device can look in. Start PocketPump again, or open the address that it"
    b" printed.</p>"
)


class Keys:
    """The secrets of one start.

    ``printed`` is in the address that is announced and opens as often as one likes;
    ``once`` is in the address that the browser is started with, where other users of the
    machine may see it in the list of programs: it opens once. Neither stays in use: the
    browser swaps it for a cookie that was never in an address, ``session`` for the first,
    ``session_once`` for the second.

    Whoever is quick could use the one-time key before the person's browser does. That browser
    then comes late, with a key that was used and no cookie: so ``session_once`` ends at once,
    and ``taken`` says so to all that it let in.
    """

    def __init__(self) -> None:
        self.printed = secrets.token_urlsafe(24)
        self.once = secrets.token_urlsafe(24)
        self.session = secrets.token_urlsafe(32)
        self.session_once = secrets.token_urlsafe(32)
        self.taken = asyncio.Event()
        self._spent = False

    def opens(self, key: str) -> str:
        """Return the session that ``key`` opens, "" for none, and use up the one-time key."""
        if _same(key, self.printed):
            return self.session
        if not _same(key, self.once):
            return ""
        if self._spent:
            self.taken.set()
            return ""
        self._spent = True
        return self.session_once

    def knows(self, session: str) -> bool:
        """Tell whether ``session`` is what this start put into a cookie and still holds."""
        if _same(session, self.session_once):
            return self._spent and not self.taken.is_set()
        return _same(session, self.session)


class Gate:
    """An ASGI app before another: refuses, lets in, and puts the headers on every answer.

    ``nonce`` marks the styles that the client makes, see
    :func:`pocketpump.app.server.index_page.put_page`.
    """

    def __init__(self, app: Asgi, port: int, keys: Keys, nonce: str) -> None:
        self._app = app
        self._keys = keys
        self._hosts = {f"{name}:{port}".encode() for name in (HOST, "localhost")}
        self._origins = {b"http://" + host for host in self._hosts}
        # A cookie goes to every port of a host, so the name says whose it is.
        self._cookie = f"pocketpump_{port}"
        self._nonce = nonce

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Answer one request; see the class."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        sealed = self._sealed(send)
        if not self._from_here(scope):
            await _refuse(scope, receive, sealed, b"Not from here.", b"text/plain")
            return
        session = self._session_in(scope) or self._opened(scope)
        if not session:
            await _refuse(scope, receive, sealed, _CLOSED, b"text/html; charset=utf-8")
        elif _key_in(scope):
            await self._let_in(session, sealed)
        else:
            if scope["type"] == "websocket" and session == self._keys.session_once:
                receive = self._until_taken(receive, sealed)
            # A tab closed while an answer was on its way is no error.
            with suppress(WebSocketDisconnect):
                await self._app(_asked_whole(scope), receive, sealed)

    def _from_here(self, scope: Message) -> bool:
        hosts = [value for name, value in scope["headers"] if name == b"host"]
        origins = [value for name, value in scope["headers"] if name == b"origin"]
        # A browser names its page whenever it opens a websocket; silence is no browser of ours.
        if scope["type"] == "websocket" and not origins:
            return False
        return len(hosts) == 1 and hosts[0] in self._hosts and set(origins) <= self._origins

    def _session_in(self, scope: Message) -> str:
        """Return the session that the request holds; "" for none that counts."""
        # Read by hand: Python's reader stops at the first odd cookie of another program.
        held = b";".join(value for name, value in scope["headers"] if name == b"cookie")
        pairs = [part.strip().partition("=") for part in held.decode("latin-1").split(";")]
        known = (value for name, _, value in pairs if name == self._cookie)
        return next(filter(self._keys.knows, known), "")

    def _opened(self, scope: Message) -> str:
        return self._keys.opens(_key_in(scope)) if scope["type"] == "http" else ""

    def _until_taken(self, receive: Receive, send: Send) -> Receive:
        """Return ``receive`` that hangs up when it turns out that somebody else was let in."""

        async def receiving() -> Message:
            waiting = [asyncio.ensure_future(one) for one in (receive(), self._keys.taken.wait())]
            try:
                await asyncio.wait(waiting, return_when=asyncio.FIRST_COMPLETED)
                if not self._keys.taken.is_set():
                    return cast(Message, waiting[0].result())
            finally:
                for one in waiting:
                    one.cancel()
            with suppress(Exception):
                await send({"type": "websocket.close", "code": 1008})
            return {"type": "websocket.disconnect", "code": 1008}

        return receiving

    async def _let_in(self, session: str, send: Send) -> None:
        """Swap the key for the cookie, and the address for one without the key."""
        cookie = f"{self._cookie}={session}; Path=/; HttpOnly; SameSite=Strict"
        headers = [(b"location", b"/"), (b"set-cookie", cookie.encode()),
                   (b"cache-control", b"no-store")]  # fmt: skip
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})

    def _sealed(self, send: Send) -> Send:
        """Return ``send`` that puts the headers on; a page is held until its scripts are known."""
        held: Message | None = None
        page = bytearray()

        async def begin(sent: Message) -> None:
            text = bytes(page)
            rules = framed_nowhere(policy(scripts_in(text), styles_of(text, self._nonce)))
            told = (b"content-security-policy", rules.encode())
            sent["headers"] = [*sent["headers"], told]
            await send(sent)

        async def sealed(sent: Message) -> None:
            nonlocal held
            if sent["type"] == "http.response.start":
                kept = [pair for pair in sent["headers"] if pair[0].lower() not in _DROPPED]
                if not any(name.lower() == b"cache-control" for name, _ in kept):
                    # The nonce is that of one start.
                    kept.append((b"cache-control", b"no-cache"))
                sent["headers"] = [*kept, *_HEADERS]
                if _is_page(kept):
                    held = sent
                else:
                    await begin(sent)
            elif held is None:
                await send(sent)
            else:
                page.extend(sent.get("body", b""))
                if not sent.get("more_body"):
                    await begin(held)
                    await send({"type": "http.response.body", "body": bytes(page)})

        return sealed


def _asked_whole(scope: Message) -> Message:
    """Return the request for a page as if nothing of it were kept; any other as it is.

    The rules for a page's scripts come from its text. "Not modified" has none, so the browser
    would put rules without them in the place of those it keeps, and the page would stay blank.
    """
    if scope["type"] != "http" or PurePosixPath(scope["path"]).suffix.lower() not in ("", ".html"):
        return scope
    kept = [pair for pair in scope["headers"] if pair[0].lower() not in _PARTLY]
    return {**scope, "headers": kept}


def _is_page(headers: list[tuple[bytes, bytes]]) -> bool:
    kinds = (value for name, value in headers if name.lower() == b"content-type")
    return next(kinds, b"").startswith(b"text/html")


async def _refuse(scope: Message, receive: Receive, send: Send, body: bytes, kind: bytes) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008})
        return
    headers = [(b"content-type", kind), (b"cache-control", b"no-store")]
    await send({"type": "http.response.start", "status": 403, "headers": headers})
    await send({"type": "http.response.body", "body": body})


def _key_in(scope: Message) -> str:
    told: str = parse_qs(scope["query_string"].decode("latin-1")).get("key", [""])[0]
    return told


def _same(told: str, secret: str) -> bool:
    return hmac.compare_digest(told.encode(), secret.encode())
