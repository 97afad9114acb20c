"""Diary: how it went, on one time axis with the dose, and what can be said about it."""

from collections import Counter
from datetime import date, timedelta
from functools import partial

import flet as ft

from pocketpump.app.parts import big_button, body, card, choice, fact_row, section
from pocketpump.app.parts.diary_chart import DiaryPicture, diary_chart
from pocketpump.app.parts.hours_chart import hours_chart
from pocketpump.app.screens.draft import put
from pocketpump.app.screens.link import link
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.diary.check_ins import (
    SPASMS,
    STIFFNESS,
    daily_medians,
    readings,
    side_effect_words,
)
from pocketpump.core.diary.hour_spans import SPAN_HOURS
from pocketpump.core.diary.hours import Hours
from pocketpump.core.diary.response_text import NOT_THE_CAUSE
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.situation import Situation
from pocketpump.core.units.instants import date_text
from pocketpump.core.units.quantity import format_number
from pocketpump.record.facts.findings import Findings, findings_of

_SPANS = (
    ("28", message("4 weeks")),
    ("91", message("3 months")),
    ("365", message("1 year")),
    # Note: all of the time there is.
    ("all", message("All")),
)


def diary(app: App[Services]) -> list[ft.Control]:
    """Draw the diary."""
    services = app.services
    situation, _ = services.situation()
    now = services.now()
    found = findings_of(services.record.alive, situation, now)
    draft = app.draft("diary")
    span = draft.setdefault("span", "91")

    controls: list[ft.Control] = [
        big_button(message("How is it now?"), lambda: app.go("/check-in"), icon=ft.Icons.ADD),
        link(app, message("Note something that happened"), "/happening", ft.Icons.EDIT_NOTE),
    ]
    if not found.check_ins:
        controls.append(body(message("No check-in yet. The first takes three taps.")))
    else:
        first = _first_day(span, found, now.date())
        show = _picture(found, situation, first, now.date())
        controls += [
            choice(message("How far back?"), _SPANS, span, partial(put, app, draft, "span"),
                   in_row=True),
            diary_chart(show, width=app.content_width, scale=app.scale, spoken=_spoken(show)),
            body(message("Dashed lines: the dose setting changed. Drops: refills. Diamonds:"
                        " something happened."), soft=True),
            *_sentences(app, found),
            *_side_effects(found, first),
        ]  # fmt: skip
        if found.hours is not None:
            controls += _hours(app, found.hours)
    controls += [
        section(message("More of the diary")),
        link(app, message("After each dose change"), "/changes", ft.Icons.COMPARE),
        link(app, message("Measures and goals"), "/measures", ft.Icons.FLAG_OUTLINED),
        link(app, message("All check-ins and notes"), "/log", ft.Icons.LIST),
    ]
    return controls


def _first_day(span: str, found: Findings, today: date) -> date:
    oldest = min(c.at.date() for c in found.check_ins)
    if span == "all":
        return min(oldest, today - timedelta(days=27))
    return today - timedelta(days=int(span) - 1)


def _picture(
    found: Findings, situation: Situation | None, first: date, today: date
) -> DiaryPicture:
    settings = situation.settings if situation else ()
    # Only what is shown is turned into days: ten years must not slow down four weeks.
    shown = [c for c in found.check_ins if c.at.date() >= first]
    return DiaryPicture(
        first=first,
        last=today,
        stiffness=daily_medians(readings(shown, STIFFNESS)),
        spasms=daily_medians(readings(shown, SPASMS)),
        doses=[(s.at, s.programme.dose_mcg_per_day) for s in settings],
        refills=[fill.at for fill in situation.fills] if situation else [],
        diary_events=[h.at for h in found.diary_events],
    )


def _spoken(show: DiaryPicture) -> str:
    if not show.stiffness:
        return message("Chart: no check-in in this time.")
    values = list(show.stiffness.values())
    return plural_message(
        "Chart from {first} to {last}: stiffness from {least} to {most}, on {count} days.",
        "Chart from {first} to {last}: stiffness from {least} to {most}, on {count} days.",
        len(values),
        first=date_text(show.first),
        last=date_text(show.last),
        least=format_number(min(values), 1),
        most=format_number(max(values), 1),
    )


def _sentences(app: App[Services], found: Findings) -> list[ft.Control]:
    rows: list[ft.Control] = [section(message("What it says"))]
    parts = [("today", [found.sudden.sentence], found.sudden.lines)]
    if found.responses:
        last = found.responses[-1]
        beside = filter(None, (*last.cautions, last.also))
        parts.append(("last change", [last.sentence, *beside, NOT_THE_CAUSE], last.lines))
    parts.append(("drift", [found.drift.sentence], found.drift.lines))
    for name, sentences, lines in parts:
        rows += map(body, sentences)
        if lines:
            rows.append(app.explain(name, [("", line) for line in lines]))
    if found.sudden.verdict in ("above", "below"):
        rows.append(link(app, message("Look at the warning signs"), "/signs", ft.Icons.HEARING))
    return [card(rows)]


def _side_effects(found: Findings, first: date) -> list[ft.Control]:
    days: Counter[str] = Counter()
    for effect, _day in {
        (effect, c.at.date())
        for c in found.check_ins
        if c.side_effects and c.at.date() >= first
        for effect in c.side_effects
    }:
        days[effect] += 1
    if not days:
        return []
    rows = [
        fact_row(
            side_effect_words(effect).capitalize(),
            plural_message("{count} day", "{count} days", count),
        )
        for effect, count in days.most_common()
    ]
    return [card([section(message("Side effects in this time")), *rows])]


def _hours(app: App[Services], hours: Hours) -> list[ft.Control]:
    standing_out = [one.span for one in hours.disagree]
    spans = [
        (span.start_hour, SPAN_HOURS, span.middle, span in standing_out) for span in hours.spans
    ]
    spoken = joined("; ", hours.lines[: len(spans)])
    return [
        card(
            [
                section(message("Hours of the day")),
                hours_chart(spans, hours.rate_by_hour_mcg_per_h, width=app.content_width - 40,
                            scale=app.scale, spoken=spoken),
                body(hours.sentence),
                app.explain("hours", [("", line) for line in hours.lines]),
            ]
        )
    ]  # fmt: skip
