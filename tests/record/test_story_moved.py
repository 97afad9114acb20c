"""The demo's story is told as if it ended today; who it is of stays who it is."""

from datetime import UTC, datetime, timedelta

from pocketpump.record.demo import demo_folder, moved_to_now
from pocketpump.record.facts.situation import newest


def test_a_birth_date_stays_while_the_story_moves():
    early = datetime(2026, 9, 1, tzinfo=UTC)
    told = [moved_to_now(demo_folder(), early + timedelta(weeks=weeks)) for weeks in (0, 60)]
    born = {newest(entries, "care").payload["born_on"] for entries in told}
    filled = {newest(entries, "refill").at for entries in told}
    assert len(born) == 1
    assert len(filled) == 2
