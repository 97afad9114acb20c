"""Tables: out for spreadsheets and clinics, in from one of ours or of past refills."""

import asyncio
import uuid
from time import monotonic
from typing import Any

import flet as ft

from pocketpump.app.parts import big_button, body, choice, notice, quiet_button, section
from pocketpump.app.screens.saved_files import saved_name, table_name
from pocketpump.app.screens.whole_record.import_preview import bring_controls
from pocketpump.app.server.file_picker import choose
from pocketpump.app.server.file_saving import save_file
from pocketpump.app.services import Services
from pocketpump.app.shell.shell import App
from pocketpump.core.errors import PocketPumpError
from pocketpump.core.messages import message
from pocketpump.core.units.typed_dates import ORDER_WORDS, ORDERS
from pocketpump.exchange.backup.import_preview import WORDS
from pocketpump.exchange.fhir.bundle import LEFT_OUT, write_bundle
from pocketpump.exchange.tables.spreadsheet import (
    WANTED,
    Columns,
    SpreadsheetShape,
    find_order,
    guess_columns,
    read_sheet,
    refill_steps,
)
from pocketpump.exchange.tables.tables import (
    TABLES,
    ImportedEntries,
    Steps,
    finish,
    is_table,
    read_rows,
    table_steps,
    write_table,
)

_AT_ONCE = 500
"""Rows read at every drawing, as the columns are chosen; more are read when it is asked for."""
_SHOW_EVERY_S = 0.5
_WAIT_S = 0.02
_STRENGTHS = (("mcg/mL", "mcg/mL"), ("mg/mL", "mg/mL"))


def tables(app: App[Services]) -> list[ft.Control]:
    """Draw the tables to save, and the way in for one."""
    services = app.services
    alive = services.record.alive

    def save(name: str, data: bytes) -> Any:
        async def saving() -> None:
            await save_file(app, name, data)

        return saving

    kinds = [kind for kind in TABLES if any(entry.kind == kind for entry in alive)]
    controls: list[ft.Control] = [
        section(message("Save for a spreadsheet")),
        body(message("A table of what counts now, with the units in its head (CSV).")),
    ]
    if not kinds:
        controls.append(body(message("There is nothing to save yet.")))
    controls += [
        quiet_button(WORDS[kind][1].capitalize(),
                     save(table_name(app, kind), write_table(alive, kind)),
                     icon=ft.Icons.TABLE_ROWS)
        for kind in kinds
    ]  # fmt: skip
    controls += [
        section(message("Save for a clinic's system")),
        body(message("The pump, dose settings, refills, diary, allergies, tablets, risks, the"
                    " clinic's plan and whom to call, as FHIR R4. It holds the names of your"
                    " contacts, not yours.")),
        body(message("Not in it: {kinds}.", kinds=LEFT_OUT), soft=True),
        quiet_button(message("FHIR file"),
                     save(saved_name(app, "fhir", "json"), write_bundle(alive, services.now())),
                     icon=ft.Icons.LOCAL_HOSPITAL_OUTLINED),
        section(message("Bring in a table")),
        body(message("One that PocketPump wrote, or past refills kept elsewhere. Save it as CSV"
                    " first.")),
    ]  # fmt: skip
    return [*controls, *_way_in(app)]


def _way_in(app: App[Services]) -> list[ft.Control]:
    draft = app.draft("table")

    async def pick() -> None:
        chosen = await choose("csv")
        if chosen is None:
            return
        draft.clear()
        draft["name"] = chosen[0]
        try:
            rows = read_rows(chosen[1])
            if is_table(rows):
                await read_in_steps(app, draft, _ours(app.services, chosen[1]), len(rows))
            else:
                sheet = read_sheet(chosen[1])
                draft["sheet"], draft["of"] = sheet, guess_columns(sheet)
                draft["order"] = find_order(sheet, draft["of"])
        except PocketPumpError as error:
            draft["failed"] = str(error)
        app.refresh()

    async def read_theirs() -> None:
        try:
            await read_in_steps(app, draft, _theirs(app.services, draft), len(draft["sheet"].rows))
        except PocketPumpError as error:
            draft["failed"] = str(error)
        app.refresh()

    if "at row" in draft:
        return _reading(draft)
    controls: list[ft.Control] = [
        quiet_button(message("Choose a table"), pick, icon=ft.Icons.FOLDER_OPEN)
    ]
    if "name" in draft:
        controls.append(body(message("The file: {name}", name=draft["name"])))
    if draft.get("stopped"):
        controls.append(notice(message("Stopped. Nothing was added."), key="stopped"))
    incoming: ImportedEntries | None = draft.get("incoming")
    if "sheet" in draft:
        controls += _columns(app, draft, draft["sheet"])
        if len(draft["sheet"].rows) > _AT_ONCE:
            if incoming is None:
                controls.append(
                    big_button(message("Read the table"), read_theirs, icon=ft.Icons.TABLE_ROWS)
                )
        else:
            try:
                incoming = finish(_theirs(app.services, draft))
            except PocketPumpError as error:
                controls.append(notice(str(error), key="column"))
    if draft.get("failed"):
        controls.append(notice(draft["failed"], needs_you=True, key="failed"))
    if incoming is not None:
        controls += bring_controls(app, draft, incoming.entries, incoming.problems,
                                   ask_person=False)  # fmt: skip
    return controls


async def read_in_steps(app: App[Services], draft: dict[str, Any], steps: Steps, rows: int) -> None:
    """Read a table into ``draft``, showing how far it is, until it is done or stopped."""
    draft["rows"], draft["at row"] = rows, 0
    draft.pop("stopped", None)
    try:
        shown = monotonic()
        while not draft.get("stopped"):
            draft["at row"] = next(steps)
            if monotonic() - shown > _SHOW_EVERY_S:
                app.refresh()
                # The screen is drawn, and a press of Stop comes in, only while we wait.
                await asyncio.sleep(_WAIT_S)
                shown = monotonic()
    except StopIteration as ended:
        draft["incoming"] = ended.value
    finally:
        draft.pop("at row", None)


def _reading(draft: dict[str, Any]) -> list[ft.Control]:
    """Draw how far the reading is, and the way to stop it."""
    told = message("Reading row {row} of {rows}.", row=draft["at row"], rows=draft.get("rows", 0))
    return [
        body(message("The file: {name}", name=draft.get("name", ""))),
        body(told),
        quiet_button(message("Stop"), lambda: draft.update(stopped=True), icon=ft.Icons.STOP),
    ]


def _columns(
    app: App[Services], draft: dict[str, Any], sheet: SpreadsheetShape
) -> list[ft.Control]:
    """Draw the question which column is what, for every field."""

    def put(name: str, value: Any) -> None:
        draft[name] = value
        for stale in ("incoming", "failed", "stopped"):
            draft.pop(stale, None)
        app.refresh()

    def told(field: str, value: str) -> None:
        others = {name: number for name, number in draft["of"].items() if name != field}
        put("of", others if value == "" else {**others, field: int(value)})

    options = [(str(number), header or message("column {number}", number=number + 1))
               for number, header in enumerate(sheet.headers)]  # fmt: skip
    controls: list[ft.Control] = []
    for wanted in WANTED:
        now = draft["of"].get(wanted.field)

        def chosen(value: str, field: str = wanted.field) -> None:
            told(field, value)

        none = [] if wanted.needed else [("", message("none"))]
        controls.append(
            choice(message("Which column is “{field}”?", field=wanted.words), [*options, *none],
                   "" if now is None else str(now), chosen, in_row=True)
        )  # fmt: skip
    controls.append(
        choice(message("How are the days written?"),
               [(order, ORDER_WORDS[order]) for order in ORDERS],
               draft.get("order"), lambda value: put("order", value), in_row=True)
    )  # fmt: skip
    controls.append(
        choice(message("Strengths without a unit are in"), _STRENGTHS, draft.get("unit"),
               lambda value: put("unit", value), in_row=True)
    )  # fmt: skip
    return controls


def _ours(services: Services, data: bytes) -> Steps:
    record = services.record
    held = {entry.id: entry for entry in record.entries}
    shown = {entry.id for entry in record.alive}
    return table_steps(data, held, shown, zone=services.zone, now=services.now(), make_id=_make_id)


def _theirs(services: Services, draft: dict[str, Any]) -> Steps:
    columns = Columns(draft["of"], draft.get("order", ""), draft.get("unit", ""))
    return refill_steps(
        draft["sheet"], columns, services.record.alive, zone=services.zone,
        zone_name=services.zone_name, now=services.now(), make_id=_make_id,
    )  # fmt: skip


def _make_id() -> str:
    return str(uuid.uuid4())
