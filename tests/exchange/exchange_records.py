"""A small invented record, built in memory."""

from datetime import UTC, datetime, timedelta
from itertools import count

from pocketpump.record import MemoryFiles, Record

NOW = datetime(2026, 2, 20, 9, tzinfo=UTC)
LATER = timedelta(minutes=1)


class Notes:
    """Writes entries with a clock and ids of its own, so that every run gives the same record."""

    def __init__(self) -> None:
        self._number = count(1)
        self._now = datetime(2025, 11, 1, 9, tzinfo=UTC)
        self.record = Record.open(MemoryFiles(), clock=self._clock, make_id=self._id)

    def _clock(self) -> datetime:
        self._now += LATER
        return self._now

    def _id(self) -> str:
        return f"00000000-0000-4000-8000-{next(self._number):012d}"

    def note(self, kind: str, day: str, payload: dict) -> "Notes":
        at = datetime.fromisoformat(f"{day}T09:00+00:00")
        self.record.add(kind, at, "UTC", payload)
        return self

    @property
    def entries(self):
        return self.record.alive


def usual() -> Notes:
    """E14 (derived) after an earlier fill whose residual is E25's: expected 4.0, withdrawn 6.5."""
    notes = Notes()
    notes.note("pump", "2025-12-01", {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})
    notes.note("programme", "2025-12-01", {"programme": {"days": [[[0, 200 / 24]]]}})
    notes.note("refill", "2025-12-03", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    refill = {
        "filled_ml": 20.0, "strength_mcg_per_ml": 500.0, "expected_ml": 4.0, "withdrawn_ml": 6.5,
        "printed_alarm_on": "2026-02-26",
    }  # fmt: skip
    return notes.note("refill", "2026-01-12", refill)
