"""A hand that misses, taps twice and touches what it does not mean, at the main tasks.

The hand looks at the screen before each tap, as a person does, and goes on until the task
is done. Whatever its slips have saved besides must be told with an Undo in sight.
``POCKETPUMP_CLUMSY`` says how often it tries each task; 250 before a release, with ``-n 4
--dist load``, take about an hour.
"""

from __future__ import annotations

import os
import random
import shutil
import tempfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from driving import PHONE, Hand
from test_clinic_visit import begun_record

from pocketpump.record import DiskFiles, Record

RUNS = int(os.environ.get("POCKETPUMP_CLUMSY", "1"))
SHARE = 50  # so many runs on one record
MISS_PX = 20
DOUBLED, STRAY = 0.2, 0.1
MOST_TAPS = 60
ZONE = "Europe/Amsterdam"


class ClumsyHand:
    """Taps near things, sometimes twice, sometimes elsewhere first."""

    def __init__(self, hand: Hand, chance: random.Random) -> None:
        self.hand, self.page, self.chance = hand, hand.page, chance
        self.taps = 0

    def shows(self, name: str, role: str = "button") -> bool:
        return self.hand.find(name, role).count() > 0

    def tap(self, name: str, role: str = "button") -> None:
        """Look for ``name``, bring it into sight and tap at it, or near it."""
        self.taps += 1
        target = self.hand.find(name, role)
        try:
            target.scroll_into_view_if_needed(timeout=2000)
            self.page.wait_for_timeout(700)
            box = target.bounding_box(timeout=2000)
        except Exception:  # the screen changed under the hand: it looks again
            return
        if box is None:
            return
        if self.chance.random() < STRAY:
            width, height = PHONE
            self._touch(self.chance.uniform(0, width), self.chance.uniform(0, height))
            self.page.wait_for_timeout(self.chance.choice((50, 300, 700)))
        # Anywhere in the middle half is aimed at; up to 20 px in any direction is missed by.
        x = box["x"] + box["width"] * self.chance.uniform(0.25, 0.75)
        y = box["y"] + box["height"] * self.chance.uniform(0.25, 0.75)
        x += self.chance.uniform(-MISS_PX, MISS_PX)
        y += self.chance.uniform(-MISS_PX, MISS_PX)
        self._touch(x, y)
        if self.chance.random() < DOUBLED:
            self.page.wait_for_timeout(self.chance.uniform(60, 300))
            self._touch(x, y)
        self.page.wait_for_timeout(350)

    def _touch(self, x: float, y: float) -> None:
        self.page.mouse.click(x, y)

    def says(self, text: str) -> bool:
        return text in self.hand.words()

    def undo_in_sight(self) -> bool:
        button = self.hand.find("Undo")
        box = button.bounding_box() if button.count() else None
        return box is not None and box["y"] >= 0 and box["y"] + box["height"] <= PHONE[1]


def kept(folder: Path) -> dict[str, dict]:
    """Every entry that counts now, by id, from a copy of the running app's record."""
    with tempfile.TemporaryDirectory() as copy:
        shutil.copytree(folder, copy, dirs_exist_ok=True, ignore=shutil.ignore_patterns("*lock*"))
        with Record.open(DiskFiles(Path(copy))) as record:
            return {
                entry.id: {
                    "kind": entry.kind,
                    "on": entry.at.astimezone(UTC).date(),
                    **entry.payload,
                }
                for entry in record.alive
            }


def check_in(hand: ClumsyHand, wanted: str) -> None:
    """Take the next step towards a check-in with stiffness ``wanted``."""
    if not hand.shows("Stiffness now", "group"):
        to_today(hand, "How is it now?")
    elif hand.hand.find(wanted).get_attribute("aria-current") != "true":
        hand.tap(wanted)
    else:
        hand.tap("Save")


def refill(hand: ClumsyHand, wanted: str) -> None:
    """Take the next step towards a refill of 20 mL as before, withdrawn ``wanted`` mL."""
    if not hand.shows("Save the refill"):
        to_today(hand, "Log a refill")
        return
    # What a stray touch made of the form is seen there, and mended.
    if hand.shows("Daily dose", "textbox"):
        hand.tap("No, as before")
        return
    if hand.says("This is still to come"):
        hand.tap("15 minutes earlier")
        return
    box = hand.hand.find("Withdrawn volume", "textbox")
    hand.tap("Withdrawn volume", "textbox")
    if not box.count() or not box.evaluate("box => box === document.activeElement"):
        return
    hand.page.keyboard.press("ControlOrMeta+a")
    hand.page.wait_for_timeout(250)
    hand.page.keyboard.type(wanted, delay=60)
    hand.page.wait_for_timeout(400)
    for name in ("It is right", "Save the refill"):
        if hand.shows(name) and box.count() and box.input_value() == wanted:
            hand.tap(name)


def to_today(hand: ClumsyHand, way: str) -> None:
    """Go on towards the button ``way`` on Today, from wherever the hand has got to."""
    for name in (way, "Today", "Back"):
        if hand.shows(name):
            hand.tap(name)
            return
    hand.page.wait_for_timeout(300)


TASKS = {
    "check-in": (check_in, "stiffness", [str(n) for n in range(11)], {}),
    "refill": (
        refill,
        "withdrawn_ml",
        ["3.5", "4", "4.5"],
        {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0, "printed_alarm_on": None,
         "next_visit_on": None},
    ),
}  # fmt: skip
"""What to do, the answer that differs, what it may be, and what must be as the form offered it."""


@pytest.mark.parametrize("first", range(0, RUNS, SHARE))
@pytest.mark.parametrize("task", TASKS)
def test_a_clumsy_hand_gets_it_done_and_can_take_back_every_slip(
    task, first, phone, start_server, tmp_path
):
    folder = tmp_path / "record"
    begun_record(folder)
    server = start_server("pocketpump", "--no-browser", "--zone", ZONE, record=folder)
    phone.open(server.url).see("refill-by")
    step, field, answers, rest = TASKS[task]
    done, hidden, taken_back, taps = 0, [], 0, 0
    runs = range(first, min(first + SHARE, RUNS))
    for run in runs:
        chance = random.Random(f"{task} {run}")
        hand = ClumsyHand(phone, chance)
        wanted = chance.choice(answers)
        phone.page.evaluate("location.hash = '#/today'")
        phone.see("refill-by")
        before = kept(folder)
        finished = False
        while not finished and hand.taps < MOST_TAPS:
            step(hand, wanted)
            now = kept(folder)
            for entry_id in now.keys() - before.keys():
                entry = now[entry_id]
                right = (
                    entry["kind"] == task
                    and entry.get(field) == float(wanted)
                    and entry["on"] == datetime.now(UTC).date()
                    and all(entry.get(name) == value for name, value in rest.items())
                )
                if right:
                    finished = True
                elif not hand.undo_in_sight():
                    hidden.append((run, entry))
                else:
                    while hand.shows("Undo") and entry_id in kept(folder):
                        hand.tap("Undo")
                    taken_back += 1
            before = kept(folder)
        if not finished:
            print(f"{task} {run}: not done in {hand.taps} taps; on the screen:\n{phone.words()}")
        done += finished
        taps += hand.taps
    summary = f"{done} of {len(runs)} done, {taps / len(runs):.1f} taps each"
    print(f"{task} from {first}: {summary}, {taken_back} taken back")
    assert hidden == []
    assert done >= 0.98 * len(runs)
