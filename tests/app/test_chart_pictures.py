"""Charts on the screen: the description that paper draws, too, and nothing outside the picture."""

from datetime import UTC, datetime, timedelta

import flet.canvas as cv
import pytest
from loud import Loud
from screen_hand import PagelessApp, controls_in, in_use

from pocketpump.app.parts import chart_picture, shift_pictures
from pocketpump.app.screens.diary.diary import diary
from pocketpump.app.screens.refills.clinic_sheet import sheet
from pocketpump.app.screens.refills.refill_list import refills
from pocketpump.app.shell.translation import translate
from pocketpump.exchange.charts.days import diary_chart
from pocketpump.exchange.charts.description import Chart, Shifts
from pocketpump.exchange.papers.sheet import clinic_sheet
from pocketpump.record import MemoryFiles
from pocketpump.record.demo import demo_folder, moved_to_now
from pocketpump.record.facts.findings import findings_of

NOW = datetime(2026, 3, 15, 18, tzinfo=UTC)


@pytest.fixture
def demo() -> PagelessApp:
    app = PagelessApp(NOW, "Europe/Amsterdam", MemoryFiles())
    app.services.record.import_entries(moved_to_now(demo_folder(), NOW))
    return app


def shapes_of(control) -> list:
    while not hasattr(control, "shapes"):
        control = control.content
    return control.shapes


def pictures(screen, app) -> list:
    return [c.shapes for c in controls_in(screen(app)) if isinstance(c, cv.Canvas)]


def texts_of(shapes) -> list[str]:
    return [one.value for one in shapes if isinstance(one, cv.Text)]


@pytest.fixture
def drawn(monkeypatch) -> list[Chart]:
    """Every chart that a screen of the app draws."""
    charts: list[Chart] = []

    def note(chart, **more):
        charts.append(chart)
        return chart_picture(chart, **more)

    for screen in ("diary.diary", "refills.clinic_sheet", "refills.refill_list"):
        monkeypatch.setattr(f"pocketpump.app.screens.{screen}.chart_picture", note)
    return charts


def test_the_same_record_gives_the_same_description_to_screen_and_paper(demo, drawn):
    services = demo.services
    demo.draft("sheet")["period"] = "91"
    sheet(demo)
    on_screen = {id(chart): chart for chart in drawn}.values()
    zone = services.zone
    days = services.now().date() - timedelta(days=90)
    paper = clinic_sheet(services.record.alive, services.now(), zone, days)
    on_paper = [one.picture for one in paper.sections if isinstance(one.picture, Chart)]
    assert len(on_paper) >= 3
    assert list(on_screen) == on_paper
    drawn.clear()
    diary(demo)
    refills(demo)
    assert [chart for chart in drawn if chart in on_paper] == [on_paper[1], on_paper[2]]


@pytest.mark.parametrize("width", [240.0, 350.0, 600.0])
@pytest.mark.parametrize("scale", [1.0, 1.4, 2.0])
def test_nothing_is_drawn_outside_of_the_picture(demo, width, scale):
    services = demo.services
    situation, _ = services.situation()
    found = findings_of(services.record.alive, situation, services.now())
    today = services.now().date()
    for days in (0, 27, 364):
        chart = diary_chart(found, situation, today - timedelta(days=days), today)
        control = chart_picture(chart, width=width, height=280, scale=scale)
        canvas = control.content
        assert control.label == chart.spoken
        for one in canvas.shapes:
            if isinstance(one, cv.Points):
                assert all(0 <= p.x <= width and 0 <= p.y <= canvas.height for p in one.points)
            elif isinstance(one, cv.Path):
                for element in one.elements:
                    if isinstance(element, cv.Path.Rect):
                        assert 0 <= element.x <= element.x + element.width <= width
                    elif isinstance(element, cv.Path.MoveTo | cv.Path.LineTo):
                        assert 0 <= element.x <= width
                        assert 0 <= element.y <= canvas.height


def test_days_are_drawn_as_few_shapes_however_many(demo):
    services = demo.services
    situation, _ = services.situation()
    found = findings_of(services.record.alive, situation, services.now())
    today = services.now().date()
    counts = []
    for days in (27, 3_650):
        chart = diary_chart(found, situation, today - timedelta(days=days), today)
        shapes = shapes_of(chart_picture(chart, width=350, height=280, scale=1))
        counts.append(sum(isinstance(one, cv.Points) for one in shapes))
    assert max(counts) <= 4


def test_each_change_has_a_picture_for_each_score_with_a_number(demo):
    paper = clinic_sheet(demo.services.record.alive, NOW, demo.services.zone)
    (shifts,) = (one.picture for one in paper.sections if isinstance(one.picture, Shifts))
    rows = shift_pictures(shifts, width=310, scale=1.0)
    assert [len(row) for row in rows] == [
        2 * sum(interval is not None for interval in row.intervals) for row in shifts.rows
    ]
    # The axis says which end is which.
    assert texts_of(shapes_of(rows[0][0]))[:3] == ["less stiff", "more stiff", "Stiffness"]


def test_a_record_without_a_diary_draws_no_picture_of_days():
    assert all("Stiffness" not in texts_of(shapes) for shapes in pictures(sheet, in_use()))


def test_the_words_of_a_chart_are_said_in_the_language(demo, drawn):
    diary(demo)
    control = chart_picture(drawn[0], width=350, height=280, scale=1.0)
    translate(control, Loud())
    assert control.label.startswith("CHART FROM ")
    words = texts_of(shapes_of(control))
    assert {"STIFFNESS", "SPASMS", "DAILY DOSE, MCG/DAY"} <= set(words)
    assert not [word for word in words if word != word.upper()]
