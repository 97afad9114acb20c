"""A press counts however long it lasts, once, on every kind of control, by finger and by mouse.

Slow and spastic hands hold. The presses are raw ones at a place on the screen, with the tree of
names switched on as the app does it, and without it, as where that fails. What they did is read
on the side of Python (``every_control.py``).
"""

from __future__ import annotations

import os
import time
from dataclasses import dataclass
from pathlib import Path

import pytest
from driving import Hand
from pressing import WITHOUT_TREE, press

THOROUGH = os.environ.get("POCKETPUMP_THOROUGH") == "1"
TALL, WIDE = (390, 3000), (1280, 3000)  # nothing has to be scrolled to
SETTLES_S = 0.6
"""A button ignores what comes within half a second of the press before."""

DIALLED = """() => {
  window.dialled = [];
  window.open = url => { window.dialled.push(url); return null; };
  HTMLAnchorElement.prototype.click = function () { window.dialled.push(this.href); };
}"""

DOES = {
    "Main": "main",
    "Quiet": "quiet",
    "Call Clinic": "tel:+31205550100",
    "Call Ward": "tel:+31205550101",
    "Undo": "undo",
    "Close": "close",
    "Fold": "fold",
    "Second": "choice b",
    "No": "switch n",
    "Fever": "tick fever",
    "2": "score 2",
    "No answer": "score ",
    "More: Amount": "step 21",
    "Less: Amount": "step 19",
    "One day later": "day 2026-02-27",
    "15 minutes earlier": "time 14:15",
    "Show: Secret": "look",
    "Go": "drawn /deep",
    "Diary": "drawn /bar",
}
"""Every kind of control by its name, and what one press of it does."""


@dataclass
class Scene:
    """The page of all controls: where each is, and what has been done on it."""

    page: object
    places: dict[str, tuple[float, float]]
    record: Path

    def done(self) -> list[str]:
        """What was done since the last :meth:`forget`, by the page or by the telephone."""
        file = self.record / "done"
        lines = file.read_text().splitlines() if file.exists() else []
        return lines + self.page.evaluate("window.dialled")

    def forget(self) -> None:
        (self.record / "done").unlink(missing_ok=True)
        self.page.evaluate(DIALLED)

    def ready(self) -> None:
        """Be at the screen of all controls, long enough for a button to count a press."""
        if self.page.evaluate("location.hash") not in ("", "#/"):
            self.page.evaluate("location.hash = '#/'")
        self.page.wait_for_timeout(SETTLES_S * 1000)
        self.forget()

    def press(self, name: str, seconds: float, **how: object) -> list[str]:
        """Press ``name`` for so long; return all it did, a while after the release."""
        self.ready()
        press(self.page, *self.places[name], seconds, **how)
        end = time.monotonic() + 10
        while not self.done() and time.monotonic() < end:
            self.page.wait_for_timeout(20)
        self.page.wait_for_timeout(300)
        return self.done()


@pytest.fixture(scope="module")
def scene(chromium, start_server, tmp_path_factory):
    """Makes the page of all controls: ``scene(size, tree=True)``."""
    server = start_server("every_control", record=tmp_path_factory.mktemp("pressed"))
    contexts, places, made_before = [], {}, {}

    def opened(size: tuple[int, int], tree: bool) -> Hand:
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]},
            has_touch=True,
            reduced_motion="reduce",
            locale="en-GB",
        )
        contexts.append(context)
        if not tree:
            context.add_init_script(WITHOUT_TREE)
        return Hand(context.new_page())

    def make(size: tuple[int, int], *, tree: bool) -> Scene:
        if (size, tree) in made_before:
            return made_before[size, tree]
        if size not in places:
            hand = opened(size, True).open(server.url).see("Secret")
            hand.page.wait_for_timeout(500)
            places[size] = {name: middle(hand, name) for name in DOES}
            places[size]["Amount"] = middle(hand, "Amount", "textbox")
        hand = opened(size, tree)
        made = Scene(hand.page, places[size], server.record)
        hand.page.goto(server.url)
        made.forget()
        # Without a tree nothing tells that the screen is there, but a press does.
        end = time.monotonic() + 40
        while not made.done() and time.monotonic() < end:
            press(hand.page, *places[size]["Main"], 0.05, by="mouse")
            hand.page.wait_for_timeout(300)
        assert (hand.page.locator("flt-semantics").count() > 0) is tree
        made_before[size, tree] = made
        return made

    yield make
    for context in contexts:
        context.close()


def middle(hand: Hand, name: str, role: str = "button") -> tuple[float, float]:
    box = hand.find(name, role).bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


HOW = [(by, tree) for by in ("touch", "mouse") for tree in (True, False)]
HELD_S = (0.6, 1.2, 2.0)


@pytest.mark.parametrize(("by", "tree"), HOW)
def test_a_held_press_counts_once(scene, by, tree):
    here = scene(TALL, tree=tree)
    turn = HOW.index((by, tree))
    # Over the four ways every control is pressed, each way for every time.
    sample = list(DOES)[turn :: len(HOW)]
    wrong = {}
    for at, name in enumerate(sample):
        did = here.press(name, HELD_S[(at + turn) % len(HELD_S)], by=by)
        if did != [DOES[name]]:
            wrong[name] = did
    assert wrong == {}


@pytest.mark.thorough
@pytest.mark.parametrize("seconds", [0.1, 0.6, 1.2, 2, 5])
@pytest.mark.parametrize("size", [TALL, WIDE], ids=["bar", "rail"])
@pytest.mark.parametrize(("by", "tree"), HOW)
def test_a_press_of_any_length_counts_once_on_every_control(scene, by, tree, size, seconds):
    here = scene(size, tree=tree)
    # On a wide window only the rail is another; the rest has been pressed.
    names = list(DOES) if size == TALL else ["Diary", "Go", "Call Clinic"]
    did = {name: here.press(name, seconds, by=by) for name in names}
    assert did == {name: [DOES[name]] for name in names}


@pytest.mark.thorough
@pytest.mark.parametrize("seconds", [0.3, 2])
@pytest.mark.parametrize(("by", "tree"), HOW)
def test_a_press_that_trembles_by_twelve_pixels_counts_once(scene, by, tree, seconds):
    here = scene(TALL, tree=tree)
    did = {name: here.press(name, seconds, by=by, tremble=12) for name in DOES}
    assert did == {name: [DOES[name]] for name in DOES}


@pytest.mark.parametrize("tree", [True, False])
def test_a_box_held_for_long_can_be_typed_in(scene, tree):
    here = scene(TALL, tree=tree)
    here.ready()
    press(here.page, *here.places["Amount"], 1.5, by="touch")
    here.page.wait_for_timeout(500)
    here.page.keyboard.type("7")
    here.page.wait_for_timeout(500)
    [did] = here.done()
    assert did.startswith("step ")
    assert "7" in did
