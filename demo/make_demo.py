"""Make the demo's record: fourteen months of an invented person, the same at every run.

Mara Holm, invented, lives in Rotterdam; a pump of 20 mL since 2024, spinal origin. Her
story: five refills, the dose raised in small steps, a day pattern for the nights, one
refill at which more than expected was left over, a journey to Montreal, and a change to a
stronger solution with a bridge. Her diary is in ``diary_story``. Nothing in it is taken
from a real person.

Run ``python demo/make_demo.py`` to write ``demo/record/record-000001.jsonl`` anew.
"""

import random
import shutil
import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from diary_story import tell_diary

from pocketpump.core.pump.forecast import forecast
from pocketpump.core.pump.programme_payload import programme_to_payload
from pocketpump.core.pump.programme_text import parse_setting
from pocketpump.core.pump.timeline_builder import build_timeline
from pocketpump.record import DiskFiles, Record
from pocketpump.record.facts.situation import situation_of

SEED = 20_260_112
HOME = "Europe/Amsterdam"
AWAY = "America/Toronto"


class Story:
    """Writes entries with the story's own clock and ids, so that every run gives the same file."""

    def __init__(self, folder: Path) -> None:
        self._random = random.Random(SEED)
        self._now = datetime(2025, 1, 1, tzinfo=UTC)
        self.record = Record.open(DiskFiles(folder), clock=lambda: self._now, make_id=self._id)

    def _id(self) -> str:
        return str(uuid.UUID(int=self._random.getrandbits(128), version=4))

    def write(self, kind: str, wall: str, payload: dict[str, Any], zone: str = HOME) -> None:
        """Write one entry at a wall-clock time; it is noted a few minutes later."""
        at = datetime.fromisoformat(wall).replace(tzinfo=ZoneInfo(zone))
        self._now = at.astimezone(UTC) + timedelta(minutes=self._random.randint(1, 20))
        self.record.add(kind, at, zone, payload)

    def setting(self, wall: str, text: str, note: str = "") -> None:
        """Write a dose setting; the pump's clock is the wall clock of the clinic on that day."""
        at = datetime.fromisoformat(wall).replace(tzinfo=ZoneInfo(HOME))
        offset = int((at.utcoffset() or timedelta(0)).total_seconds() // 60)
        payload: dict[str, Any] = {"programme": programme_to_payload(parse_setting(text, offset))}
        if note:
            payload["note"] = note
        self.write("programme", wall, payload)

    def refill(self, wall: str, strength: float, off_ml: float, **more: Any) -> None:
        """Write a refill of 20 mL; ``off_ml`` is how much more than expected was withdrawn.

        Expected volume and printed alarm date are what the core computes, as a clinic's
        programmer would print them.
        """
        at = datetime.fromisoformat(wall).replace(tzinfo=ZoneInfo(HOME))
        payload: dict[str, Any] = {"filled_ml": 20.0, "strength_mcg_per_ml": strength, **more}
        before, _ = situation_of(self.record.alive)
        if before and before.fills and before.settings:
            timeline, _ = build_timeline(before.fills, before.settings, before.pump.line_volume_ml)
            expected = timeline.volume_at(at.timestamp()) or 0.0
            payload["expected_ml"] = round(expected, 1)
            payload["withdrawn_ml"] = round(max(0.0, expected + off_ml), 1)
        self.write("refill", wall, payload)
        situation, _ = situation_of(self.record.alive)
        if situation and situation.settings:
            answer, _ = forecast(situation, at, ZoneInfo(HOME))
            if answer and answer.alarm_at:
                printed = answer.alarm_at.date().isoformat()
                entry = next(e for e in reversed(self.record.alive) if e.kind == "refill")
                self.record.correct(entry.id, {**payload, "printed_alarm_on": printed})


def tell_care(story: Story) -> None:
    """Write what the card shows besides numbers; the telephone numbers lead nowhere.

    They are reserved for fiction: the British regulator keeps 020 7946 0000-0999 for drama.
    """
    story.write(
        "care",
        "2025-01-13T10:02",
        {
            "name": "Mara Holm", "born_on": "1984-03-02", "surgeon": "Dr A. Invented",
            "allergies": "Penicillin (rash)", "mri_notes": "Up to 1.5 tesla; check after it.",
            "tablets": "As the clinic wrote them: vitamin D, one in the morning.",
            "injury_t6_or_above": True, "earlier_withdrawal": True,
        },
    )  # fmt: skip
    for minute, contact in enumerate(
        (
            {"name": "Pump clinic (invented)", "role": "pump clinic",
             "phone": "+44 20 7946 0101", "hours": "24 h", "emergency": True},
            {"name": "Joost Holm", "role": "brother", "phone": "+44 20 7946 0102",
             "emergency": True},
            {"name": "Ida Holm", "role": "mother", "phone": "+44 20 7946 0103",
             "emergency": True},
        )
    ):  # fmt: skip
        story.write("contact", f"2025-01-13T10:0{minute + 3}", contact)
    story.write(
        "plan",
        "2025-01-13T10:08",
        {
            "text": "If a refill is missed: call the pump clinic at once, day or night, and go"
            " to the emergency room with this card.",
            "from_whom": "Pump clinic", "given_on": "2025-01-13",
        },
    )  # fmt: skip
    story.write("device", "2025-09-22T10:25", {"months_left": 58})


def tell(folder: Path) -> None:
    """Write the whole story into ``folder``."""
    story = Story(folder)
    story.write(
        "pump",
        "2025-01-13T10:00",
        {
            "reservoir_ml": 20.0, "alarm_volume_ml": 2.0, "tolerance_percent": 14.5,
            "line_volume_ml": 0.24, "drug_age_limit_days": 180, "reading_error_ml": 0.5,
            "model": "as on the card from the clinic", "position": "lower belly, right",
            "implanted_on": "2024-06-17", "tip_level": "T10",
        },
    )  # fmt: skip
    story.write(
        "clinic days",
        "2025-01-13T10:05",
        {
            "open_weekdays": [0, 1, 3], "lead_days": 14, "margin_days": 7,
            "closed_on": ["2025-12-25", "2026-01-01"],
        },
    )  # fmt: skip
    story.setting("2025-01-13T10:10", "150 mcg/day")
    story.refill("2025-01-13T10:30", 1000.0, 0.0)
    story.setting("2025-02-10T09:40", "165 mcg/day", "Legs still stiff in the morning.")
    story.refill("2025-04-24T10:15", 1000.0, -0.4)
    story.setting("2025-06-02T11:20", "190 mcg/day")
    story.setting(
        "2025-06-30T09:30",
        "00:00 12 mcg/h, 06:00 8 mcg/h, 20:00 12 mcg/h",
        "Spasms mostly at night.",
    )
    story.refill("2025-07-14T10:05", 1000.0, 2.6, note="More left than expected; pump checked.")
    story.write(
        "trip",
        "2025-08-20T20:00",
        {"place": "Montreal", "zone": AWAY, "leaves_on": "2025-09-03", "returns_on": "2025-09-17"},
    )
    story.write(
        "happening",
        "2025-09-06T09:00",
        {"what": "stiffer in the afternoon", "note": "The pattern runs by the clock at home."},
        AWAY,
    )
    story.refill("2025-09-22T10:20", 2000.0, -0.3, bridged=True)
    story.setting("2025-11-03T10:30", "00:00 13 mcg/h, 06:00 8.5 mcg/h, 20:00 13 mcg/h")
    story.refill("2026-01-26T10:10", 2000.0, 0.2)
    story.setting("2026-02-09T09:45", "00:00 13 mcg/h, 06:00 9 mcg/h, 20:00 13 mcg/h")
    tell_care(story)
    tell_diary(story.write)
    # Agreed by telephone: a Monday, when the clinic is open, before the refill-by date.
    visit = {"visit_on": "2026-06-08", "visit_time": "10:20", "place": "Pump clinic (invented)"}
    story.write("visit", "2026-03-05T11:15", visit)
    story.record.close()


if __name__ == "__main__":
    target = Path(__file__).parent / "record"
    shutil.rmtree(target, ignore_errors=True)
    tell(target)
    (target / "in-use.lock").unlink(missing_ok=True)
    print(f"wrote {target}")
