"""How Python starts in the worker, in the two halves a memory snapshot divides it into.

:func:`prepare` runs at build time (or, without a snapshot, at every start): it imports all
the app needs. :func:`begin` runs in the browser, and mends what a snapshot has frozen.
"""

from __future__ import annotations

import asyncio
import gc
import importlib
import importlib.util
import os
import random
import sys
import time
import traceback
from collections.abc import Iterable
from importlib.machinery import ModuleSpec, PathFinder
from itertools import islice, repeat
from types import CodeType
from typing import Any

from pocketpump.web import bridge

_entry_module = ""

#: Python's small blocks: each size is a multiple of this, up to 512 bytes.
_BLOCK = 16
#: More than is ever free of one size here (measured: 100,000 leaves some, a million no less).
_CLEARED_BYTES = 400_000

#: What Flet imports inside functions while a session begins.
_FLET_AT_SESSION = (
    "flet.messaging.pyodide_connection",
    "flet.components.component",
    "flet.components.component_owned",
    "flet.components.hooks.use_effect",
    "flet.components.observable",
    "flet.components.utils",
)


#: Packages that no first screen needs. They are a fifth of the snapshot's own part, so they
#: are loaded when the app is on the screen, or when somebody is quicker.
#: Each must be imported as a module by all who use it: a second ``import`` of one of them, or of
#: a name in it, anywhere, would load it at once.
LATER = (
    "pint", "segno",
    *(f"pocketpump.exchange.papers.{name}" for name in (
        "card_files", "card_pages", "carer_sheet", "letter", "sheet", "sheet_html", "sheet_pdf",
        "tag", "travel_sheet",
        "drawing.borrowed", "drawing.canvas", "drawing.pdf", "drawing.svg", "drawing.traced",
    )),
)  # fmt: skip


#: What fpdf2 imports, in pieces of which none is large.
_PAPER_PIECES = (
    "unittest.mock", "xml.sax.saxutils", "http.client", "fontTools.ttLib.tables.otTables",
    "fontTools.subset", "fontTools.varLib", "fontTools.varLib.instancer",
)  # fmt: skip
_LONG_S = 0.15


class PutOff:
    """Finds the packages in `LATER` so that they load when something in them is asked for."""

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> ModuleSpec | None:
        """Return where the package is, with a loader that waits."""
        spec = PathFinder.find_spec(name, path, target) if name in LATER else None
        if spec is not None and spec.loader is not None:
            spec.loader = importlib.util.LazyLoader(spec.loader)
        return spec


class LateImports:
    """Notes what is imported after a restored snapshot: each costs an archive at the start.

    The name on the console tells what :func:`prepare` should import.
    """

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> None:
        """Say the name, and leave the finding to the others."""
        del path, target
        if not name.startswith("tzdata"):
            print(f"PocketPump: late import of {name}")


def prepare(entry_module: str, flet_names: Iterable[str]) -> None:
    """Import the app and everything it will need, so that starting it imports nothing."""
    global _entry_module
    _entry_module = entry_module
    sys.meta_path.insert(0, PutOff())
    bridge.install_flet_js()
    import flet

    for name in ("run", "Page", *flet_names):  # Flet loads each of its names at first use
        getattr(flet, name, None)
    dir(flet.Icons)  # reads their list
    for name in _FLET_AT_SESSION:
        importlib.import_module(name)
    importlib.import_module(entry_module).warm()
    _warm_time_zones()
    # Reads where in its archive each module stands; the archive itself comes later.
    importlib.util.find_spec("fpdf")
    # The build leaves out the line numbers of other people's code, and a traceback through it
    # must be printed all the same.
    traceback.__dict__["_get_code_position"] = _position
    random.seed(0)  # equal builds give equal bytes; begin() takes fresh chance
    _drop_entities()
    gc.collect()
    _clear_freed()


def _drop_entities() -> None:
    """Drop the 2,231 names of HTML's characters, which only ``html.unescape`` reads.

    Pyodide has loaded them before we come; nothing here unescapes.
    """
    import html

    sys.modules.pop("html.entities", None)
    for name in ("_html5", "entities"):
        vars(html).pop(name, None)


def _clear_freed() -> None:
    """Write zeros over small freed blocks, whose old bytes would travel with the snapshot.

    Python keeps small blocks in pools by size and does not clear them.
    """
    header = sys.getsizeof(b"")
    for size in range(_BLOCK, 513, _BLOCK):
        if size >= header:
            list(map(bytes, repeat(size - header, _CLEARED_BYTES // size)))


async def load_the_rest() -> None:
    """Load what was put off, with room for the person's taps in between."""
    sys.meta_path[:] = [f for f in sys.meta_path if not isinstance(f, (LateImports, PutOff))]
    for name in LATER:
        await asyncio.sleep(0.2)
        getattr(sys.modules[name], "__doc__")  # noqa: B009 the asking is what loads it


async def warm_papers() -> None:
    """Import part of what makes pages, piece by piece; the rest comes with the first page.

    Stops where a piece takes long: on a slow phone a tap would have to wait for the next.
    """
    for name in _PAPER_PIECES:
        await asyncio.sleep(0.3)
        begun = time.monotonic()
        importlib.import_module(name)
        if time.monotonic() - begun > _LONG_S:
            return


def _position(code: CodeType, at: int) -> tuple[int | None, ...]:
    """Return the lines and columns of the instruction ``at``; None for each if nobody knows."""
    return next(islice(code.co_positions(), at // 2, None), (None,) * 4)


def _warm_time_zones() -> None:
    """Load one zone: the zone files need a dozen modules at first use."""
    from zoneinfo import ZoneInfo

    ZoneInfo("Europe/Rome")
    ZoneInfo.clear_cache()


def _fresh_time_zone() -> None:
    """Give the ``time`` module the zone of this device; the snapshot has the builder's.

    Pyodide has no ``time.tzset``. ``localtime`` itself asks the browser and is right; its
    constants (dateutil's local zone reads them) are worked out as CPython does at start.
    """
    year = time.localtime().tm_year
    january, july = (
        time.localtime(time.mktime((year, month, 1, 0, 0, 0, 0, 0, -1))) for month in (1, 7)
    )
    if january.tm_gmtoff > july.tm_gmtoff:  # south of the equator
        january, july = july, january
    zone: dict[str, object] = {
        "timezone": -january.tm_gmtoff,
        "altzone": -july.tm_gmtoff,
        "daylight": int(january.tm_gmtoff != july.tm_gmtoff),
        "tzname": (january.tm_zone, july.tm_zone),
    }
    for name, value in zone.items():
        setattr(time, name, value)


async def begin(host: Any, restored: bool) -> None:
    """Attach the page and run the app's ``main`` under Flet."""
    random.seed(os.urandom(32))
    if restored:
        # The snapshot froze the build machine's clock, too.
        _fresh_time_zone()
        sys.meta_path.insert(0, LateImports())
    bridge.attach(host)
    import flet

    flet.run(importlib.import_module(_entry_module).main)


async def connect(send: Any) -> None:
    """Let Flet talk to the client, which has just painted its first frame."""
    await bridge.install_flet_js().__dict__["start_connection"](send)


def leave() -> None:
    """Keep what is half filled in: the page is about to be loaded again."""
    bridge.leave()


def told(text: str) -> None:
    """Take what the page tells of itself, as JSON."""
    bridge.told(text)


def shared(name: str, data: Any) -> None:
    """Take a file that was shared with the app."""
    bridge.shared(name, bytes(data.to_py()))


def noted(text: str) -> None:
    """Take all that waits in the page's inbox, as JSON."""
    bridge.noted(text)


def begun(text: str) -> None:
    """Take what is half filled in on the opening page, as JSON."""
    bridge.begun(text)


def listens() -> bool:
    """Tell whether Flet still takes what the client sends; its loop ends at an error."""
    running = (task.get_coro() for task in asyncio.all_tasks())
    return any(getattr(one, "__name__", "") == "receive_loop" for one in running)


def receive(data: Any) -> None:
    """Pass a message of the client to Flet."""
    bridge.install_flet_js().__dict__["send"](data)
