"""Fixtures for a real Chromium and a real server."""

from __future__ import annotations

import os
import re
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from driving import DESKTOP, FLAGS, PHONE, Hand

REQUIRED = os.environ.get("POCKETPUMP_REQUIRE_BROWSER") == "1"
HERE = Path(__file__).parent
ROOT = HERE.parents[1]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.browser)


def _missing(reason: str) -> None:
    if REQUIRED:
        pytest.fail(f"{reason} (POCKETPUMP_REQUIRE_BROWSER=1)", pytrace=False)
    pytest.skip(reason)


@pytest.fixture(scope="module")
def chromium() -> Iterator[object]:
    """One Chromium for a file of tests.

    Not for the whole run: its event loop would go on under the tests of other folders, and
    nothing there could start one of its own.
    """
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
                env={
                    **os.environ,
                    "POCKETPUMP_RECORD": str(record),
                    "PYTHONPATH": os.pathsep.join((str(ROOT), str(HERE))),
                    "PYTHONUNBUFFERED": "1",
                },
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
        return Hand(context.new_page())

    yield make
    for context in contexts:
        context.close()


@pytest.fixture
def phone(new_hand) -> Hand:
    return new_hand(PHONE)


@pytest.fixture
def desktop(new_hand) -> Hand:
    return new_hand(DESKTOP)


@pytest.fixture(scope="session")
def gallery(start_server) -> str:
    """The address of the gallery of parts."""
    return start_server("gallery").url
