"""A hand that does in a real browser what a person does, finding things by name.

It sees only the accessibility tree: what it cannot find there, a person with a screen
reader cannot find either.
"""

from __future__ import annotations

import os
import re
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pytest

SHOTS = os.environ.get("POCKETPUMP_SHOTS")
"""Where pictures are kept, if the run was asked to keep them."""

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--no-first-run",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
]
"""How every test starts its Chromium: alone, and asking nobody for anything."""

PHONE = (390, 844)
SMALL_PHONE = (320, 568)
DESKTOP = (1280, 800)
WAIT_MS = 40_000
BETWEEN_TAPS = 0.7
"""The app ignores a tap within half a second of the one before, or of the button's
appearance; the rest is for the screen to be drawn. Tests tap like people."""

WORDS = """host => [...host.querySelectorAll('*')].map(e => [
  e.getAttribute('aria-label'),
  ...[...e.childNodes].filter(n => n.nodeType === 3).map(n => n.data)
].filter(Boolean).join(' ')).filter(Boolean).join('\\n')"""
"""Everything the tree of names says, in order; in the page's own language."""


FRAMES = """() => new Promise(done => {
  let left = 6;
  const next = () => left-- ? requestAnimationFrame(next) : done();
  next();
})"""
"""Waits until six frames were drawn: one tells the app that the tree of names was scrolled, the
next one moves the picture, and on a busy machine a frame takes long. A tap before that meets
whatever lay there."""


@dataclass
class Hand:
    """Does what a person does: sees, taps, types."""

    page: object
    foreign: list[str] = field(default_factory=list)
    """Answers that came from another machine; there should be none."""

    def __post_init__(self) -> None:
        self.page.on("response", lambda response: self._note(response.url))

    def _note(self, url: str) -> None:
        if not url.startswith(("http://127.0.0.1:", "data:", "blob:")):
            self.foreign.append(url)

    def open(self, url: str) -> Hand:
        """Go there and wait until the tree of names is on."""
        self.page.goto(url)
        self.page.locator("flt-semantics-host flt-semantics").first.wait_for(
            state="attached", timeout=WAIT_MS
        )
        # The phone app's opening page gives way by itself where nobody has touched it.
        self.page.locator("#glance").wait_for(state="hidden", timeout=WAIT_MS)
        return self

    def turn_to(self, url: str, title: str) -> Hand:
        """Go to another screen of the app and wait until its title is there."""
        self.page.goto(url)
        self.until(lambda: self.page.title().startswith(title), f"to be at {url}")
        return self

    def find(self, name: str, role: str = "button"):
        """The first thing of that role whose name begins with ``name``."""
        # Playwright writes the pattern between slashes, so one inside it needs its own escape.
        escaped = re.escape(name).replace("/", r"\/")
        beginning = re.compile(rf"^\s*(chosen\s+)?{escaped}")
        return self.page.get_by_role(role, name=beginning).first

    def tap(self, name: str) -> Hand:
        """Tap the button ``name``, no sooner than the app allows."""
        button = self.find(name)
        button.wait_for(state="attached", timeout=WAIT_MS)
        # A button ignores taps for a while after it appeared, and nobody knows when it did;
        # nor does the picture follow the tree of names right after a tap.
        time.sleep(BETWEEN_TAPS)
        self._bring_to_rest(button, name)
        button.click(timeout=WAIT_MS)
        return self

    def look_again(self) -> Hand:
        """Wait as long as taps are ignored after the app has scrolled to what is wrong."""
        self.page.wait_for_timeout(500)
        return self

    def _bring_to_rest(self, target, name: str) -> None:
        """Scroll ``target`` into sight and wait until the picture has followed."""
        self.until(lambda: self._rests_in_sight(target), f"{name} to be in sight")

    def _rests_in_sight(self, target) -> bool:
        try:
            target.scroll_into_view_if_needed(timeout=WAIT_MS)
            before = target.bounding_box(timeout=WAIT_MS)
            self.page.evaluate(FRAMES)
            # Another scroll now would be followed by a tap at once.
            return before is not None and before == target.bounding_box(timeout=WAIT_MS)
        except Exception as error:
            # The screen was drawn anew in this very moment: it is found again.
            if "not attached" in str(error):
                return False
            raise

    def field(self, label: str):
        """The text box whose label begins with ``label``."""
        return self.find(label, "textbox")

    def type_into(self, label: str, text: str) -> Hand:
        """Replace what stands in the box ``label`` by ``text``, key by key."""
        box = self.field(label)
        box.wait_for(state="attached", timeout=WAIT_MS)
        self.page.wait_for_timeout(400)
        self._bring_to_rest(box, label)
        box.click()
        self.until(lambda: self._select_all(box), f"all of {label} to be chosen")
        box.press("Delete")
        self.page.keyboard.type(text, delay=40)
        self.reads(label, text)
        return self

    def _select_all(self, box) -> bool:
        # Flutter sets the caret where the box was tapped some time after the tap.
        box.press("ControlOrMeta+a")
        self.page.wait_for_timeout(200)
        return box.evaluate("b => b.selectionStart === 0 && b.selectionEnd === b.value.length")

    def reads(self, label: str, text: str) -> Hand:
        """Wait until the box ``label`` holds ``text``.

        The tree of names leaves out what stands in a box that is not being edited, so
        such a box is entered first.
        """
        box = self.field(label)
        box.wait_for(state="attached", timeout=WAIT_MS)
        if not box.evaluate("box => box === document.activeElement"):
            box.click()
        self.until(lambda: box.input_value(timeout=WAIT_MS) == text, f"{label} to read {text!r}")
        return self

    def see(self, text: str) -> Hand:
        """Wait until ``text`` is on the screen, as words or as a name."""
        self.until(lambda: text in self.words(), f"to see {text!r}")
        return self

    def miss(self, text: str) -> Hand:
        """Wait until ``text`` is no longer on the screen."""
        self.until(lambda: text not in self.words(), f"not to see {text!r}")
        return self

    def words(self) -> str:
        """Everything a screen reader could say, in order."""
        return self.page.locator("flt-semantics-host").evaluate(WORDS)

    def screenshot(self, name: str) -> Hand:
        """Keep a picture, if the run was asked to (POCKETPUMP_SHOTS=folder)."""
        if SHOTS:
            Path(SHOTS).mkdir(parents=True, exist_ok=True)
            self.page.wait_for_timeout(400)
            self.page.screenshot(path=Path(SHOTS, f"{name}.png"))
        return self

    def until(self, true: Callable[[], bool], what: str) -> None:
        """Wait until ``true()``; fail with what is on the screen."""
        end = time.monotonic() + WAIT_MS / 1000
        while not true():
            if time.monotonic() > end:
                pytest.fail(f"waited in vain {what}; on the screen:\n{self.words()}")
            self.page.wait_for_timeout(50)
