"""What a copy or a table would add, drawn before it does; and the button that does it."""

from collections.abc import Iterable, MutableMapping, Sequence
from typing import Any

import flet as ft

from pocketpump.app.parts import big_button, body, card, choice, fact_row, notice, section
from pocketpump.app.screens.draft import put
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import PocketPumpError, Problem
from pocketpump.core.messages import message, plural_message
from pocketpump.exchange.backup.import_preview import Preview, name_of, preview
from pocketpump.record import Entry

_MOST = 12
"""Lines of a list on the screen; the rest is counted."""


def bring_controls(
    app: App[Services],
    draft: MutableMapping[str, Any],
    entries: Sequence[Entry],
    odd: Iterable[Problem] = (),
    *,
    ask_person: bool = True,
) -> list[ft.Control]:
    """Draw what ``entries`` would add, and the button that brings them in.

    ``draft`` is the form's, cleared when it is done; ``odd`` is told along; ``ask_person``
    asks whether it is the same person's when nothing is shared.
    """
    services = app.services
    try:
        told = _preview(services, draft, entries)
    except PocketPumpError as error:  # more than fits
        return [notice(str(error), needs_you=True, key="refused")]
    controls: list[ft.Control] = [section(message("What it would add")), _counts(told)]
    zone = services.zone
    controls += _list(message("Corrected there"), [name_of(one, zone) for one in told.changing])
    controls += _list(message("Removed there, so no longer shown here"),
                      [name_of(one, zone) for one in told.vanishing])  # fmt: skip
    sentences = [*told.conflicts, *(problem.sentence for problem in odd)]
    controls += _list(message("Please look at"), sentences)
    if not told.adds:
        controls.append(body(message("There is nothing new in it. Your record stays as it is.")))
        return controls
    doubtful = told.stranger and ask_person
    if doubtful:
        controls += [
            notice(
                message(
                    "This copy shares nothing with your record. It could be another person's."
                ),
                needs_you=True,
                key="stranger",
            ),
            choice(message("Is it the same person's?"),
                   (("yes", message("Yes")), ("no", message("No, or I do not know"))),
                   draft.get("same"), lambda value: put(app, draft, "same", value), in_row=True),
        ]  # fmt: skip
    if draft.get("refused"):
        controls.append(notice(draft["refused"], needs_you=True, key="refused"))
    if not doubtful or draft.get("same") == "yes":
        controls.append(body(message("Nothing is ever deleted, and you can undo it."), soft=True))
        controls.append(big_button(message("Bring it in"), lambda: _bring(app, draft, entries),
                                   icon=ft.Icons.CHECK))  # fmt: skip
    return controls


def _preview(
    services: Services, draft: MutableMapping[str, Any], entries: Sequence[Entry]
) -> Preview:
    """Return the preview, worked out once: of thousands of entries it takes seconds."""
    held = services.record.entries
    of, size, zone, told = draft.get("preview", ((), 0, None, None))
    if told is None or of != entries or size != len(held) or zone != services.zone:
        told = preview(held, entries, services.zone)
        draft["preview"] = entries, len(held), services.zone, told
    kept: Preview = told
    return kept


def _bring(app: App[Services], draft: MutableMapping[str, Any], entries: Sequence[Entry]) -> None:
    record = app.services.record
    try:
        imported = record.import_entries(entries)
    except PocketPumpError as error:
        put(app, draft, "refused", str(error))
        return
    draft.clear()

    def undo() -> None:
        record.undo_import(imported)
        app.say(message("That was taken back."))

    number = len(imported.added) + len(imported.settled)
    app.go("/today")
    app.say(
        plural_message("{count} entry was brought in.", "{count} entries were brought in.", number),
        undo=undo,
    )


def _counts(told: Preview) -> ft.Control:
    rows = [fact_row(words.capitalize(), str(number)) for words, number in told.counts]
    if told.history:
        rows.append(fact_row(message("Earlier versions and removals"), str(told.history)))
    rows.append(fact_row(message("Already here"), str(told.imported.known)))
    return card(rows)


def _list(title: str, sentences: list[str]) -> list[ft.Control]:
    if not sentences:
        return []
    shown: list[ft.Control] = [body(sentence) for sentence in sentences[:_MOST]]
    if len(sentences) > _MOST:
        left = len(sentences) - _MOST
        shown.append(
            body(plural_message("and {count} more.", "and {count} more.", left), soft=True)
        )
    return [section(title), card(shown)]
