"""More: everything that is not needed every day."""

import flet as ft

from pocketpump import __version__
from pocketpump.app.forms import Form
from pocketpump.app.notebook import Notebook
from pocketpump.app.parts import body, choice, fact_row, quiet_button, section, stepper
from pocketpump.app.screens.taking_back import undo_of
from pocketpump.app.shell import App
from pocketpump.app.words import CAUTION
from pocketpump.record.situation import habits_of

_SCALES = (("1.0", "Usual"), ("1.3", "Larger"), ("1.6", "Large"), ("2.0", "Largest"))
_MODES = (("system", "As the device"), ("light", "Light"), ("dark", "Dark"))
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def more(app: App[Notebook]) -> list[ft.Control]:
    """Draw the list of what else there is."""

    def way(label: str, route: str, icon: ft.IconData) -> ft.Control:
        return quiet_button(label, lambda: app.go(route), icon=icon)

    return [
        way("Dose settings", "/doses", ft.Icons.TUNE),
        way("The pump", "/pump", ft.Icons.SETTINGS_OUTLINED),
        way("Clinic days", "/clinic-days", ft.Icons.CALENDAR_MONTH_OUTLINED),
        way("Backup", "/backup", ft.Icons.SAVE_ALT),
        way("Bring in a copy", "/merge", ft.Icons.MERGE),
        way("Move to a new phone", "/new-phone", ft.Icons.PHONELINK_SETUP),
        way("Tables and other systems", "/tables", ft.Icons.TABLE_ROWS),
        way("My record", "/record", ft.Icons.FACT_CHECK_OUTLINED),
        way("Text size and colours", "/look", ft.Icons.TEXT_FIELDS),
        way("About and cautions", "/about", ft.Icons.INFO_OUTLINE),
    ]


def look(app: App[Notebook]) -> list[ft.Control]:
    """Draw the choice of text size and brightness; kept in the record."""

    def keep(name: str, value: str) -> None:
        notebook = app.services
        notebook.save("preference", notebook.now(), {"name": name, "value": value})
        scale, mode = look_of(notebook)
        app.set_look(scale=scale, mode=mode)

    chosen = preferences(app.services)
    return [
        choice("Text size", _SCALES, chosen.get("text size", "1.0"),
               lambda value: keep("text size", value)),
        choice("Colours", _MODES, chosen.get("colours", "system"),
               lambda value: keep("colours", value)),
    ]  # fmt: skip


def preferences(notebook: Notebook) -> dict[str, str]:
    """Return the preferences that count now, by name."""
    return {
        str(entry.payload["name"]): str(entry.payload["value"])
        for entry in notebook.of_kind("preference")
    }


def look_of(notebook: Notebook) -> tuple[float, ft.ThemeMode]:
    """Return text scale and brightness."""
    chosen = preferences(notebook)
    scales = {value for value, _ in _SCALES}
    scale = chosen.get("text size", "1.0")
    modes = {"light": ft.ThemeMode.LIGHT, "dark": ft.ThemeMode.DARK}
    return (
        float(scale) if scale in scales else 1.0,
        modes.get(chosen.get("colours", ""), ft.ThemeMode.SYSTEM),
    )


def clinic_days(app: App[Notebook]) -> list[ft.Control]:
    """Draw the clinic's open days, the margin and the lead."""
    notebook = app.services
    habits = habits_of(notebook.newest("clinic days"))
    form = Form(app, "clinic days", {
        "open": sorted(habits.clinic_days.open_weekdays),
        "margin": str(habits.margin_days), "lead": str(habits.lead_days),
    })  # fmt: skip
    margin = form.whole("margin", 0, 60, needed="Write a number of days.")
    lead = form.whole("lead", 0, 60, needed="Write a number of days.")
    open_days: list[int] = form.value("open")
    if not open_days:
        form.fail("open", "Choose at least one day.")

    def save() -> None:
        entry = notebook.save("clinic days", notebook.now(), {
            "open_weekdays": open_days, "margin_days": margin, "lead_days": lead,
            "closed_on": sorted(day.isoformat() for day in habits.clinic_days.closed_on),
        })  # fmt: skip
        form.clear()
        app.go("/more")

        app.say("The clinic's days are saved.", undo=undo_of(app, entry.id))

    def open_choice(weekday: int, name: str) -> ft.Control:
        now = "yes" if weekday in open_days else "no"

        def chosen(value: str) -> None:
            if value != now:
                form.put("open", sorted(set(open_days) ^ {weekday}))

        return choice(name, (("yes", "Yes"), ("no", "No")), now, chosen, in_row=True)

    controls: list[ft.Control] = [section("The clinic does refills on")]
    controls += [open_choice(weekday, name) for weekday, name in enumerate(_WEEKDAYS)]
    if form.error("open"):
        controls.append(body(form.error("open")))
    controls += [
        stepper("Margin before the alarm date", form.text("margin"), form.typed("margin"),
                unit="days", least="0", helper="The refill-by date is so many days earlier.",
                error=form.error("margin")),
        stepper("Notice the clinic needs", form.text("lead"), form.typed("lead"),
                unit="days", least="0", helper="So many days before, it is time to call.",
                error=form.error("lead")),
        *form.save_button("Save the clinic's days", save),
    ]  # fmt: skip
    return controls


def about(app: App[Notebook]) -> list[ft.Control]:
    """Draw what this is, what it is not, and what is kept."""
    record = app.services.record
    controls: list[ft.Control] = [
        body(CAUTION),
        body("It never proposes a dose or a pump setting."),
        body("What you enter stays on this device. Nothing is sent anywhere."),
        fact_row("Version", __version__),
        fact_row("Entries kept", str(len(record.entries))),
    ]
    controls += [body(problem.sentence) for problem in record.problems]
    return controls
