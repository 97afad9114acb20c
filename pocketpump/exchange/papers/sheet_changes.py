"""What changes of the dose were followed by, for the clinic sheet, and what cannot be said."""

from dataclasses import replace
from datetime import date, tzinfo

from pocketpump.core.diary.hour_spans import JUDGED
from pocketpump.core.diary.hours import Hours
from pocketpump.core.diary.response import Response
from pocketpump.core.messages import joined, message, plural_message
from pocketpump.core.pump.forecast import Forecast
from pocketpump.core.units.instants import date_text, local_date
from pocketpump.exchange.charts.changes import change_text, is_told, shifts_chart
from pocketpump.exchange.papers.sheet_parts import CHANGE, Section
from pocketpump.record.facts.findings import Findings

_FEWEST_CHANGES = 3
_MOST_CHANGES = 4
"""More changes than this stand on the pages after the first."""
_NOT_THE_CAUSE = message(
    "Each change: what came after it by the person's own scores, not that the change was the cause."
)


def changes_sections(
    found: Findings, first: date, answer: Forecast, zone: tzinfo
) -> tuple[Section, Section | None, Section | None]:
    """Return the last change and what it and those before it were followed by; and the rest.

    The rest are the footnotes of what followed, and the earlier changes, each for a later page.
    """
    title = message("Last change, and what followed")
    changes = answer.situation.changes()
    if not changes:
        settings = answer.situation.settings
        day = date_text(local_date(settings[0].at, zone))
        none = message("None since the first dose setting, {day}", day=day)
        return Section(title, CHANGE, lead=none, lines=_not_enough([], found, zone)), None, None
    last = changes[-1]
    doses = {one.after.id: one.before.programme.dose_mcg_per_day for one in changes}
    lead = joined(
        ": ",
        (
            date_text(local_date(last.at, zone)),
            change_text(last.before.programme.dose_mcg_per_day, last.after),
        ),
    )
    pairs = list(zip(found.responses, found.spasm_responses, strict=True))
    if not found.check_ins:
        return Section(title, CHANGE, lead=lead), None, None
    lately = sum(local_date(one.setting.at, zone) >= first for one in found.responses)
    shown = pairs[-max(lately, _FEWEST_CHANGES) :]
    told = [pair for pair in shown if is_told(pair)]
    lines = _not_enough([pair[0] for pair in shown if not is_told(pair)], found, zone)
    if len(pairs) > len(shown):
        lines = (
            *lines,
            plural_message(
                "{count} earlier change is not listed here; the app has them all.",
                "{count} earlier changes are not listed here; the app has them all.",
                len(pairs) - len(shown),
            ),
        )
    if any(pair[0].comparison or pair[1].comparison for pair in told):
        lines = (_NOT_THE_CAUSE, *lines)
    newest, rest = told[-_MOST_CHANGES:], told[:-_MOST_CHANGES]
    picture = shifts_chart(newest, doses, zone) if newest else None
    if picture is not None and newest[-1][0].steps == (last.after,):
        # The lead has said when and what.
        row = replace(picture.rows[0], label=message("The last change"), detail="")
        picture = replace(picture, rows=(row, *picture.rows[1:]))
    footnotes = None
    if picture is not None and picture.cautions:
        cautions = enumerate(picture.cautions, 1)
        footnotes = Section(
            message("What followed: footnotes"),
            lines=tuple(joined(" ", (f"({number})", caution)) for number, caution in cautions),
        )
        picture = replace(picture, cautions=())
    earlier = None
    if rest:
        earlier = Section(
            message("Earlier changes, and what followed"), picture=shifts_chart(rest, doses, zone)
        )
    return Section(title, CHANGE, lead=lead, picture=picture, lines=lines), footnotes, earlier


def _not_enough(changes: list[Response], found: Findings, zone: tzinfo) -> tuple[str, ...]:
    """Return what there is not enough to say of, in one line; nothing without check-ins."""
    if not found.check_ins:
        return ()
    what: list[str] = []
    if changes:
        days = joined(
            ", ", (date_text(local_date(one.setting.at, zone)) for one in reversed(changes))
        )
        what.append(message("what followed the change of {days}", days=days))
    if found.drift.verdict == "not enough":
        what.append(message("a slow drift of stiffness"))
    if found.hours is not None and not is_judged(found.hours):
        what.append(message("stiffness by the hour"))
    if not what:
        return ()
    return (message("Not enough to say yet: {what}.", what=joined("; ", what)),)


def is_judged(hours: Hours) -> bool:
    """Return whether any hours of the day are noted on enough days to be judged."""
    return any(span.coverage == JUDGED for span in hours.spans)
