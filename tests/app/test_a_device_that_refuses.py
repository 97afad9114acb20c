"""A full disk: whatever is tapped on whatever screen, it is told near the button, nothing is lost.

Every button of every screen is tapped on a record whose device refuses each write.
"""

import asyncio
import copy
import inspect

import pytest
from screen_hand import OpenTab, PagelessApp, at, controls_in, in_use, texts

from pocketpump.app.screens.routes import ROUTES
from pocketpump.record import MemoryFiles

REFUSED = "could not be saved"
WRITTEN = {
    "/questions": {"question": {"text": "May I swim?"}},
    "/check-in": {"check-in:": {"stiffness": "3", "note": "own words"}},
    "/happening": {"happening:": {"what": "fall", "note": "own words"}},
    "/measure": {"measure:": {"which": "Time standing", "value": "3", "note": "own words"}},
    "/contact": {"contact:someone else": {"name": "Bo", "phone": "+31201234567"}},
    "/device": {"device": {"months_left": "30"}},
    "/what-if": {"what if": {"what": "filled", "filled": "15"}},
    "/about-you": {"about you": {"settling": "5"}},
    "/care": {"care": {"name": "Bo", "plan": "Go to the ward"}},
    "/trip-form": {"trip:": {"place1": "Rome", "zone1": "Europe/Rome", "from1": "2026-04-01",
                             "returns_on": "2026-04-09"}},
    "/start/pump": {"pump": {"reservoir_ml": "20"}},
    "/refill": {"refill:": {"withdrawn_ml": "3", "note": "own words"}},
    "/dose": {"dose:": {"dose": "200", "note": "own words"}},
}  # fmt: skip


class FullFiles(MemoryFiles):
    """A device that is full from one moment on; ``refused`` counts the writes."""

    full, refused = False, 0

    def append(self, name, data):
        if self.full:
            self.refused += 1
            raise OSError(28, "No space left on device")
        super().append(name, data)


def full_record() -> tuple[PagelessApp, FullFiles]:
    files = FullFiles()
    used = in_use()
    hand = PagelessApp(at("2026-03-20T12:00"), files=files)
    hand.services.record.import_entries(used.services.record.entries)
    hand.note("question", "2026-03-19T09:00", {"text": "And then?"})
    hand.note("check-in", "2026-03-19T09:00", {"stiffness": 3})
    files.full = True
    return hand, files


def keys_of(tab: OpenTab) -> list[str]:
    """The keys by which everything on the screen can be tapped."""
    found = []
    for held in tab.controls:
        if isinstance(held.key, str) and not held.key.startswith(("place:", "frame", "screen")):
            inner = [c for c in controls_in([held]) if getattr(c, "on_click", None)]
            if len(inner) == 1:
                found.append(held.key)
    return list(dict.fromkeys(found))


def tap_any(tab: OpenTab, key: str) -> None:
    held = next((c for c in tab.controls if c.key == key), None)
    button = next((c for c in controls_in([held]) if getattr(c, "on_click", None)), None)
    if button is not None and not inspect.iscoroutinefunction(button.on_click):
        button.on_click()


@pytest.mark.parametrize("route", ROUTES)
def test_every_button_of_a_screen_on_a_full_device_is_told_and_loses_nothing(route):
    hand, files = full_record()
    before = hand.services.record.entries
    tab = OpenTab(hand.services, route)
    for name, values in WRITTEN.get(route, {}).items():
        tab.app.draft(name).update(values)
    tab.app.refresh()
    refused = 0
    for key in keys_of(tab):
        tab.page.route = route
        kept = copy.deepcopy(WRITTEN.get(route, {}))
        tab.app.forget_typed()
        for name, values in kept.items():
            tab.app.draft(name).update(copy.deepcopy(values))
        tab.app.refresh()
        files.refused = 0
        tap_any(tab, key)
        if not files.refused:
            continue
        refused += 1
        assert any(REFUSED in text for text in tab.told()), key
        for name, values in kept.items():
            held = tab.app.draft(name)
            assert {f: held.get(f) for f in values} == values, key
    assert hand.services.record.entries == before
    if route in WRITTEN:
        assert refused, "nothing on this screen has tried to save"


def column_with(tab: OpenTab, key: str) -> list[str]:
    """The texts of the innermost column that holds the control ``key``, in their order."""
    holding = [
        c
        for c in tab.controls
        if type(c).__name__ == "Column"
        and any(inner.key == key for inner in controls_in(c.controls))
    ]
    return texts([holding[-1]])


@pytest.mark.parametrize(
    ("route", "key"),
    [
        ("/about-you", "option:spinal"),
        ("/what-if", "button:Save this question"),
        ("/questions", "button:Answered"),
        ("/look", "option:1.3"),
    ],
)
def test_it_is_told_right_beside_the_button_and_gone_once_it_works(route, key):
    hand, files = full_record()
    tab = OpenTab(hand.services, route)
    for name, values in WRITTEN.get(route, {}).items():
        tab.app.draft(name).update(values)
    tab.app.refresh()
    if route == "/questions":
        key = next(str(c.key) for c in tab.controls if str(c.key or "").startswith("turn:"))
    tab.tap(key)
    assert any(REFUSED in text for text in column_with(tab, key))
    assert sum(REFUSED in text for text in tab.told()) == 1
    files.full = False
    tab.tap(key)
    assert not any(REFUSED in text for text in tab.told())


@pytest.mark.parametrize("error", [OSError(5, "input/output error"), ZeroDivisionError("a defect")])
def test_any_other_trouble_of_a_tap_is_a_sentence_too(error, monkeypatch, capsys):
    hand = in_use()
    tab = OpenTab(hand.services, "/questions")
    tab.type("field:A question for the next visit", "May I swim?")

    def fails(*_args, **_more):
        raise error

    monkeypatch.setattr(hand.services, "save", fails)
    tab.tap("button:Save the question")
    told = [text for text in tab.told() if "did not do this" in text or "went wrong" in text]
    assert told
    assert str(error) not in " ".join(told)
    assert tab.app.draft("question")["text"] == "May I swim?"


def test_the_trouble_of_a_coroutine_is_told_too():
    hand, _ = full_record()
    tab = OpenTab(hand.services, "/sheet")
    begun = [c.on_click for c in tab.controls
             if inspect.iscoroutinefunction(getattr(c, "on_click", None))]  # fmt: skip
    assert begun
    # Without a client there is no file dialog: whatever comes of it is told.
    asyncio.run(begun[0]())
    assert any("went wrong" in text for text in tab.told())


def test_an_undo_that_is_refused_can_be_tried_again():
    hand, files = full_record()
    files.full = False
    tab = OpenTab(hand.services, "/questions")
    tab.type("field:A question for the next visit", "May I swim?")
    tab.tap("button:Save the question")
    assert len(hand.services.of_kind("question")) == 2
    undo = next(str(c.key) for c in tab.controls if str(c.key or "").endswith(":Undo"))
    files.full = True
    tab.tap(undo)
    assert any(REFUSED in text for text in tab.told())
    files.full = False
    tab.tap(undo)
    assert len(hand.services.of_kind("question")) == 1
