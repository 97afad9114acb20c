"""What ten years of diary cost to show: printed, not asserted. ``pytest tests/bench -s``."""

import random
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

import pytest

from pocketpump.app.screens.diary.changes import changes
from pocketpump.app.screens.diary.check_in import check_in
from pocketpump.app.screens.diary.diary import diary
from pocketpump.app.screens.diary.log import log
from pocketpump.app.screens.today.diary_box import how_is_it
from pocketpump.app.services import Services
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.record import DiskFiles, Record
from pocketpump.record.facts.findings import findings_of

NOW = datetime(2026, 3, 1, 20, tzinfo=UTC)
DAYS = 3_667  # ten years
ZONE = "Europe/Amsterdam"


def ten_years(folder: Path) -> Record:
    """Three check-ins a day, a refill each quarter, a change each half year."""
    chance = random.Random(1)
    record = Record.open(DiskFiles(folder), clock=lambda: NOW)
    begin = NOW - timedelta(days=DAYS)
    drafts = [("pump", begin, ZONE, {"reservoir_ml": 20.0, "alarm_volume_ml": 2.0})]
    for day in range(0, DAYS, 91):
        payload = {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0}
        drafts.append(("refill", begin + timedelta(days=day), ZONE, payload))
    for number, day in enumerate(range(0, DAYS, 182)):
        steps = [[0, 8.0 + number / 4], [360, 7.0 + number / 4]]
        programme = {"days": [steps], "clock_offset_minutes": 60}
        drafts.append(("programme", begin + timedelta(days=day), ZONE, {"programme": programme}))
    for day in range(DAYS):
        for hour in (-12, -7, -1):
            at = begin + timedelta(days=day + 1, hours=hour)
            payload = {"stiffness": chance.randrange(8), "spasms": chance.randrange(4)}
            drafts.append(("check-in", at, ZONE, payload))
    record.add_many(drafts)
    return record


class Tab:
    """As much of an open tab as a screen asks for."""

    scale, content_width, query = 1.0, 350.0, {}

    def __init__(self, services: Services) -> None:
        self.services = services
        self.drafts: dict[str, dict] = {}

    def draft(self, name: str) -> dict:
        return self.drafts.setdefault(name, {})

    form_draft = draft

    def offer_save(self, _place, _act) -> None:
        pass

    def explain(self, _name, lines):
        return lines


@pytest.mark.bench
def test_what_ten_years_of_check_ins_cost_to_draw(tmp_path: Path) -> None:
    record = ten_years(tmp_path / "record")
    services = Services(record, lambda: NOW, ZONE)
    count = len(services.of_kind("check-in"))
    situation, _ = services.situation()
    works = {
        "findings": lambda: findings_of(record.alive, situation, services.now()),
        "Diary, 3 months": lambda: diary(Tab(services)),
        "After each dose change": lambda: changes(Tab(services)),
        "All check-ins": lambda: log(Tab(services)),
        "check-in": lambda: check_in(Tab(services)),
        "clinic sheet": lambda: clinic_sheet(record.alive, NOW, services.zone),
        "Today's part": lambda: how_is_it(Tab(services)),
    }
    tab = Tab(services)
    tab.draft("diary")["span"] = "all"
    works["Diary, all ten years"] = lambda: diary(tab)
    print(f"\n{count} check-ins, {len(situation.settings)} settings; median of 5, goal 1 s:")
    for name, work in works.items():
        times = []
        for _ in range(5):
            begun = time.perf_counter()
            assert work()
            times.append(time.perf_counter() - begun)
        print(f"  {name}: {median(times) * 1000:.0f} ms (first {times[0] * 1000:.0f} ms)")
    record.close()
