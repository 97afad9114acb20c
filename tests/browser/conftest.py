"""A real Chromium, driven by what a screen reader would find.

The tests see only the accessibility tree: what they cannot find by name there, a person
with a screen reader cannot find either.
"""

from __future__ import annotations

import os
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

REQUIRED = os.environ.get("POCKETPUMP_REQUIRE_BROWSER") == "1"
SHOTS = Path(os.environ.get("POCKETPUMP_SHOTS", "")) if "POCKETPUMP_SHOTS" in os.environ else None
ROOT = Path(__file__).parents[2]
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--no-first-run",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
]
PHONE = (390, 844)
SMALL_PHONE = (320, 568)
DESKTOP = (1280, 800)
WAIT_MS = 20_000
BETWEEN_TAPS = 0.8
"""The app ignores a tap within half a second of the one before, or of the button's
appearance; the rest is for the screen to be drawn. Tests tap like people."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.browser)


def _missing(reason: str) -> None:
    if REQUIRED:
        pytest.fail(f"{reason} (POCKETPUMP_REQUIRE_BROWSER=1)", pytrace=False)
    pytest.skip(reason)


@pytest.fixture(scope="session")
def chromium() -> Iterator[object]:
    """One Chromium for the whole run."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("the Python package playwright is not installed")
    path = next(
        (
            found
            for name in ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
            if (found := shutil.which(name))
        ),
        None,
    )
    if path is None:
        _missing("no Chromium on this machine")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


def free_port() -> int:
    with socket.socket() as sock:
        sock.bind(("127.0.0.1", 0))
        return sock.getsockname()[1]


@dataclass
class Server:
    """A running app: where it is, where its record is, and its process."""

    url: str
    record: Path
    process: subprocess.Popen


@pytest.fixture(scope="session")
def start_server(tmp_path_factory) -> Iterator[Callable[..., Server]]:
    """Starts ``python -m …`` on a free port with a record folder of its own."""
    started: list[subprocess.Popen] = []

    def start(*command: str, record: Path | None = None) -> Server:
        port = free_port()
        record = record or tmp_path_factory.mktemp("record")
        printed = tmp_path_factory.mktemp("printed") / "address"
        with printed.open("w") as output:
            process = subprocess.Popen(
                [sys.executable, "-m", *command, "--port", str(port)],
                cwd=ROOT,
                env={**os.environ, "POCKETPUMP_RECORD": str(record), "PYTHONUNBUFFERED": "1"},
                stdout=output,
            )
        started.append(process)
        for _ in range(200):
            if process.poll() is not None:
                pytest.fail(f"the server ended at once with {process.returncode}")
            with socket.socket() as probe:
                # Only the printed address holds the key of this start.
                address = re.search(r"http://\S+", printed.read_text())
                if address and probe.connect_ex(("127.0.0.1", port)) == 0:
                    return Server(address[0], record, process)
            time.sleep(0.05)
        pytest.fail("the server did not start in 10 seconds")

    yield start
    for process in started:
        process.terminate()
    for process in started:
        process.wait(10)


@dataclass
class Hand:
    """Does what a person does: sees, taps, types."""

    page: object
    foreign: list[str] = field(default_factory=list)
    """Requests to another origin that were not stopped before they left."""
    _last_tap: float = 0.0

    def open(self, url: str) -> Hand:
        """Go there and wait until the tree of names is on."""
        self.page.goto(url)
        self.page.locator("flt-semantics-host flt-semantics").first.wait_for(
            state="attached", timeout=WAIT_MS
        )
        self._last_tap = time.monotonic()
        return self

    def find(self, name: str, role: str = "button"):
        """The first thing of that role whose name begins with ``name``."""
        # Playwright writes the pattern between slashes, so one inside it needs its own escape.
        escaped = re.escape(name).replace("/", r"\/")
        beginning = re.compile(rf"^\s*(chosen\s+)?{escaped}")
        return self.page.get_by_role(role, name=beginning).first

    def tap(self, name: str) -> Hand:
        """Tap the button ``name``, no sooner after the last tap than the app allows."""
        button = self.find(name)
        button.wait_for(state="attached", timeout=WAIT_MS)
        time.sleep(max(0.0, self._last_tap + BETWEEN_TAPS - time.monotonic()))
        button.click(timeout=WAIT_MS)
        self._last_tap = time.monotonic()
        return self

    def field(self, label: str):
        """The text box whose label begins with ``label``."""
        return self.find(label, "textbox")

    def type_into(self, label: str, text: str) -> Hand:
        """Replace what stands in the box ``label`` by ``text``, key by key."""
        box = self.field(label)
        box.wait_for(state="attached", timeout=WAIT_MS)
        box.click()
        box.press("ControlOrMeta+a")
        box.press("Delete")
        self.page.keyboard.type(text, delay=15)
        self.reads(label, text)
        return self

    def reads(self, label: str, text: str) -> Hand:
        """Wait until the box ``label`` holds ``text``."""
        box = self.field(label)
        self._until(lambda: box.input_value(timeout=WAIT_MS) == text, f"{label} to read {text!r}")
        return self

    def see(self, text: str) -> Hand:
        """Wait until ``text`` is on the screen, as words or as a name."""
        self._until(lambda: text in self.words(), f"to see {text!r}")
        return self

    def miss(self, text: str) -> Hand:
        """Wait until ``text`` is no longer on the screen."""
        self._until(lambda: text not in self.words(), f"not to see {text!r}")
        return self

    def words(self) -> str:
        """Everything a screen reader could say, in order."""
        return self.page.locator("flt-semantics-host").evaluate(
            """host => [...host.querySelectorAll('*')].map(e => [
                 e.getAttribute('aria-label'),
                 ...[...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data)
               ].filter(Boolean).join(' ')).filter(Boolean).join('\\n')"""
        )

    def screenshot(self, name: str) -> Hand:
        """Keep a picture, if the run was asked to (POCKETPUMP_SHOTS=folder)."""
        if SHOTS:
            SHOTS.mkdir(parents=True, exist_ok=True)
            self.page.wait_for_timeout(400)
            self.page.screenshot(path=SHOTS / f"{name}.png")
        return self

    def _until(self, true: Callable[[], bool], what: str) -> None:
        end = time.monotonic() + WAIT_MS / 1000
        while not true():
            if time.monotonic() > end:
                pytest.fail(f"waited in vain {what}; on the screen:\n{self.words()}")
            self.page.wait_for_timeout(50)


@pytest.fixture
def new_hand(chromium) -> Iterator[Callable[..., Hand]]:
    """Makes a hand with a window of its own: ``new_hand(PHONE, dark=True)``."""
    contexts = []

    def make(size: tuple[int, int] = PHONE, *, dark: bool = False) -> Hand:
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]},
            color_scheme="dark" if dark else "light",
            reduced_motion="reduce",
            locale="en-GB",
        )
        contexts.append(context)
        hand = Hand(context.new_page())
        hand.page.on("response", lambda response: _note(hand, response.url))
        return hand

    yield make
    for context in contexts:
        context.close()


def _note(hand: Hand, url: str) -> None:
    if not url.startswith(("http://127.0.0.1:", "data:", "blob:")):
        hand.foreign.append(url)


@pytest.fixture
def phone(new_hand) -> Hand:
    return new_hand(PHONE)


@pytest.fixture
def desktop(new_hand) -> Hand:
    return new_hand(DESKTOP)


@pytest.fixture(scope="session")
def gallery(start_server) -> str:
    """The address of the gallery of parts."""
    return start_server("tests.browser.gallery").url
