"""A phone for the tests: a Chromium with its own profile, and a server that can be stopped."""

from __future__ import annotations

import base64
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

from driving import FLAGS, PHONE, Hand

from pocketpump.app.services import Services
from pocketpump.record import Record
from pocketpump.record.demo import demo_folder, moved_to_now
from pocketpump.record.journal.slots import SlotFiles
from pocketpump.web import bridge
from pocketpump.web import phone as phone_side
from pocketpump.web.build import GLANCE_FILE, SLOTS

ZONE = "Europe/Amsterdam"
ROOT = Path(__file__).parents[2]
_SERVE = (
    "import sys; from pathlib import Path; from pocketpump.web.serve import make_server; "
    "make_server(Path(sys.argv[1]), int(sys.argv[3]), base=sys.argv[2]).serve_forever()"
)


def chromium_path() -> str | None:
    names = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
    return next((found for name in names if (found := shutil.which(name))), None)


def free_port() -> int:
    with socket.socket() as sock:
        sock.bind(("127.0.0.1", 0))
        return int(sock.getsockname()[1])


class Site:
    """A folder served in a process of its own, so that stopping it stops every connection."""

    def __init__(self, folder: Path, base: str = "/", port: int = 0) -> None:
        self.port = port or free_port()
        self.url = f"http://127.0.0.1:{self.port}{base}"
        self._process = subprocess.Popen(
            [sys.executable, "-c", _SERVE, str(folder), base, str(self.port)],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        for _ in range(200):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.05)
        raise AssertionError("the file server did not start in 10 seconds")

    def stop(self) -> None:
        self._process.kill()
        self._process.wait(10)


class Phone:
    """A browser that keeps what it was given, through closing and killing."""

    def __init__(self, playwright, profile: Path, **options: object) -> None:
        self._playwright = playwright
        self._options = options
        self._profile = profile
        self._context = None
        self.requests: list[str] = []
        self.said: list[str] = []

    @property
    def context(self):
        if self._context is None:
            self._context = self._playwright.chromium.launch_persistent_context(
                str(self._profile),
                executable_path=chromium_path(),
                args=FLAGS,
                viewport={"width": PHONE[0], "height": PHONE[1]},
                timezone_id=ZONE,
                locale="en-GB",
                reduced_motion="reduce",
                **self._options,
            )
            self._context.on("request", lambda request: self.requests.append(request.url))
        return self._context

    def page(self):
        page = self.context.new_page()
        page.on("console", lambda message: self.said.append(message.text))
        return page

    def open(self, url: str) -> Hand:
        """Open the app in a new tab, and wait until it is there."""
        return Hand(self.page()).open(url)

    def close(self) -> None:
        if self._context is not None:
            self._context.close()
            self._context = None

    def kill(self) -> None:
        """End the whole browser as a power cut would; its processes name our profile."""
        mine = str(self._profile).encode()
        for entry in Path("/proc").iterdir():
            if not entry.name.isdigit():
                continue
            try:
                command = (entry / "cmdline").read_bytes()
                if mine in command and b"chrom" in command:
                    os.kill(int(entry.name), signal.SIGKILL)
            except (FileNotFoundError, ProcessLookupError):
                continue
        self._context = None
        time.sleep(0.3)
        for lock in self._profile.glob("Singleton*"):
            lock.unlink(missing_ok=True)


class Found:
    """One of the browser's files, as it was found or to be put there."""

    def __init__(self, data: bytes) -> None:
        self._data = bytearray(data)

    def read(self, size: int, at: int) -> bytes:
        return bytes(self._data[at : at + size])

    def get_size(self) -> int:
        return len(self._data)

    def write(self, data: bytes, at: int) -> int:
        self._data.extend(bytes(max(0, at - len(self._data))))
        self._data[at : at + len(data)] = data
        return len(data)

    def truncate(self, size: int) -> None:
        del self._data[size:]
        self._data.extend(bytes(size - len(self._data)))

    def flush(self) -> None:
        pass

    def close(self) -> None:
        pass


_READ_ALL = """async () => {
  const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle('pocketpump');
  const found = {};
  for await (const [name, handle] of folder.entries()) {
    const bytes = new Uint8Array(await (await handle.getFile()).arrayBuffer());
    let text = '';
    for (const byte of bytes) text += String.fromCharCode(byte);
    found[name] = btoa(text);
  }
  return found;
}"""


def private_files(page) -> dict[str, bytes]:
    """Everything the page keeps in its private files, as it is on the device now."""
    return {name: base64.b64decode(data) for name, data in page.evaluate(_READ_ALL).items()}


def record_in(files: dict[str, bytes]) -> Record:
    """The record that these private files hold, opened by the Python of this machine."""
    slots = [Found(data) for name, data in sorted(files.items()) if name.startswith("slot-")]
    return Record.open(SlotFiles(slots))


_PUT_ALL = """async (files) => {
  const root = await navigator.storage.getDirectory();
  const folder = await root.getDirectoryHandle('pocketpump', { create: true });
  for (const [name, text] of Object.entries(files)) {
    const out = await (await folder.getFileHandle(name, { create: true })).createWritable();
    await out.write(Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0)));
    await out.close();
  }
}"""


def demo_files(name: str = "") -> dict[str, str]:
    """The demo's record as the browser keeps it: name of the slot to its bytes in base 64.

    With a ``name``, the person is called so.
    """
    slots = [Found(b"") for _ in range(SLOTS)]
    with Record.open(SlotFiles(slots)) as record:
        record.import_entries(moved_to_now(demo_folder(), datetime.now(UTC)))
        if name:
            record.add("care", datetime.now(UTC), ZONE, {"name": name})
    data = (slot.read(slot.get_size(), 0) for slot in slots)
    return {f"slot-{at:02}": base64.b64encode(part).decode() for at, part in enumerate(data)}


def put_demo(phone: Phone, site: Site, name: str = "", *, facts: bool = False) -> None:
    """Put the demo's record where the app will find it; with ``facts`` also what it left the page.

    Those are what the app publishes at a save, worked out by this machine's Python.
    """
    files = demo_files(name)
    page = phone.page()
    page.goto(f"{site.url}manifest.webmanifest")
    if facts:
        told = json.dumps(facts_of_record(files))
        files |= {GLANCE_FILE: base64.b64encode(told.encode()).decode()}
        page.evaluate("told => localStorage.setItem('pocketpump.glance', told)", told)
        page.evaluate("localStorage.setItem('pocketpump.language', 'en')")
    page.evaluate(_PUT_ALL, files)
    page.close()


def facts_of_record(files: dict[str, str]) -> object:
    """What the app publishes of the record in these ``files`` (base 64), now."""
    published: list[object] = []
    with record_in({name: base64.b64decode(text) for name, text in files.items()}) as record:
        services = Services(record, lambda: datetime.now(UTC), ZONE)
        told, bridge.publish_glance = bridge.publish_glance, published.append
        try:
            phone_side.publish(services)
        finally:
            bridge.publish_glance = told
    return published[-1]


_HELD_OFFLINE = """async () => {
  const worker = (await navigator.serviceWorker.ready).active;
  return worker?.state === 'activated' && Boolean(navigator.serviceWorker.controller);
}"""


def wait_for(page, script: str, what: str, seconds: float) -> None:
    """Ask the page, again and again from here: its own policy lets no waiting script in."""
    end = time.monotonic() + seconds
    while not page.evaluate(script):
        assert time.monotonic() < end, f"waited {seconds} s in vain for {what}"
        page.wait_for_timeout(50)


def offline_ready(page) -> None:
    """Wait until the page's offline copy is complete."""
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    wait_for(page, _HELD_OFFLINE, "the offline copy to be complete", 40)
