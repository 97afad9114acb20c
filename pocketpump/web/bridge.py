"""What the app can ask of the page around it, from inside the Python worker.

Nothing here holds a JavaScript object while the module is imported: the import happens at
build time, and the memory of that moment is what a phone later starts from. The page's
side arrives with :func:`attach`.
"""

from __future__ import annotations

import json
import sys
import types
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from pocketpump.app.device import Device
from pocketpump.exchange.papers.drawing import canvas, lending
from pocketpump.exchange.papers.drawing.page import Page
from pocketpump.web.browser_files import BrowserFiles
from pocketpump.web.drawn_letters import Drawing, Placed, lender

_host: Any = None
_files: BrowserFiles | None = None
_keep: Callable[[], None] | None = None
_device: Device | None = None
_noted = "[]"
_take_noted: Callable[[str], None] | None = None
_take_begun: Callable[[Mapping[str, Mapping[str, str]]], object] | None = None


def install_flet_js() -> types.ModuleType:
    """Provide ``flet_js``, the module Flet talks through, as plain Python.

    Flet expects a JavaScript module there. A Python one does the same work and can be part
    of a memory snapshot.
    """
    module = sys.modules.get("flet_js")
    if module is None:
        module = types.ModuleType("flet_js")
        sys.modules["flet_js"] = module
    return module


def attach(host: Any) -> None:
    """Take the worker script's side of the bridge; called once, when the worker starts."""
    global _host
    _host = host
    install_flet_js().__dict__["documentUrl"] = str(host.documentUrl)
    lending.lend(lender(_letter))


def files() -> BrowserFiles:
    """Return the browser's private files.

    Raises :class:`~.errors.StorageBusyError` when another tab holds them,
    :class:`~.errors.StorageUnavailableError` when the browser has none, and
    :class:`~.errors.StorageFailedError` when it does not open them.
    """
    global _files
    if _files is None:
        if _host is None:
            raise RuntimeError("There is no page: this only works in the browser.")
        _files = BrowserFiles.from_worker(
            list(_host.handles),
            str(_host.storageProblem),
            str(_host.mark),
            lambda mark: _post("mark", mark),
        )
    return _files


def time_zone() -> str:
    """Return the name of the browser's time zone now ("Europe/Rome"), or "" if it has none.

    Ask here rather than for ``%Z``: that abbreviation is the building machine's.
    """
    return "" if _host is None else str(_host.timeZone())


def language() -> str:
    """Return the language the page speaks ("de"); "" if it does not say."""
    return "" if _host is None else str(_host.language)


def release_url() -> str:
    """Return the address of the folder of this release, with a slash at its end."""
    return "" if _host is None else str(_host.releaseUrl)


async def png_of(page: Page, pixels_per_mm: float) -> bytes:
    """Return a page of paper as PNG, drawn by the browser."""
    steps = json.dumps(canvas.canvas_steps(page, pixels_per_mm))
    return bytes((await _host.picture(steps)).to_bytes())


def _letter(text: str, at: Placed) -> Drawing:
    """Return ``text`` as the browser draws it with the fonts of the device."""
    drawn = _host.letter(text, at.size, at.side, at.x, at.y)
    return Drawing(float(drawn.advance), bytes(drawn.alpha.to_bytes()))


def print_pages(pages: Sequence[str], title: str) -> None:
    """Let the browser print ``pages``, each an SVG sized in millimetres."""
    _post("print", {"pages": list(pages), "title": title})


def publish_glance(glance: Mapping[str, Any] | None) -> None:
    """Hand the page the few facts it shows before Python is up; None forgets them.

    Call it after each save. The copy on the device is written before this returns.
    """
    _post("glance", None if glance is None else dict(glance))


def say_shut(sentence: str) -> None:
    """Let the page say why there is no app: it has card, days and a way to save the files."""
    _post("shut", sentence)


def say_busy() -> None:
    """Let the page say that another window has the record open, and offer to use it here."""
    _post("busy", None)


def say_failed(error: BaseException) -> None:
    """Let the page say that the app could not start or stopped."""
    if _host is not None:
        _host.post(json.dumps({"kind": "failed", "text": repr(error)}))


def ask_for_lasting_storage() -> None:
    """Ask the browser not to clear the record; call it from a save the person made."""
    _post("persist", None)


def before_leaving(keep: Callable[[], None]) -> None:
    """Let ``keep`` be called before the page is loaded again on the person's word."""
    global _keep
    _keep = keep


def leave() -> None:
    """Keep what is half filled in."""
    if _keep is not None:
        _keep()


def device() -> Device:
    """Return the page around the app, as the app asks and hears it."""
    global _device
    if _device is None:
        _device = Device(lambda wish: _post("device", dict(wish)))
    return _device


def told(text: str) -> None:
    """Take what the page tells of itself, as JSON."""
    device().hear(json.loads(text))


def shared(name: str, data: bytes) -> None:
    """Take a file that was shared with the app."""
    device().take(name, data)


def noted(text: str) -> None:
    """Take all that waits in the page's inbox, as JSON."""
    global _noted
    _noted = text
    if _take_noted is not None:
        _take_noted(text)


def on_noted(take: Callable[[str], None]) -> None:
    """Let ``take`` have what waits in the page's inbox, now and whenever there is more."""
    global _take_noted
    _take_noted = take
    take(_noted)


def forget_noted(ids: Sequence[str] | None) -> None:
    """Let the page drop the items with these ``ids``, which are in the record; all for None."""
    _post("noted", None if ids is None else list(ids))


def begun(text: str) -> None:
    """Take what is half filled in on the opening page, as JSON: texts by field, by form."""
    if _take_begun is not None:
        _take_begun(json.loads(text))


def on_begun(take: Callable[[Mapping[str, Mapping[str, str]]], object]) -> None:
    """Let ``take`` have what is half filled in on the opening page when it gives way."""
    global _take_begun
    _take_begun = take


def _post(kind: str, value: object) -> None:
    if _host is not None:
        _host.post(json.dumps({"kind": kind, "value": value}))
