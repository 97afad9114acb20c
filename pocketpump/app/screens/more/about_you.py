"""About you: what the label's ranges, the reminders and the calendar depend on."""

import flet as ft

from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, choice, quiet_button, section, stepper
from pocketpump.app.screens.more.more import preferences
from pocketpump.app.services import Notebook
from pocketpump.app.shared_texts import NO_YES
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import worded
from pocketpump.record.facts.situation import settling_days_of

_ORIGINS = (
    ("", worded("Not said")),
    ("spinal", worded("The spinal cord, like an injury or multiple sclerosis")),
    ("cerebral", worded("The brain, like cerebral palsy or a stroke")),
)
_TITLES = (
    ("plain", worded("Plain: Call the clinic")),
    ("full", worded("In full: Refill by, Alarm date")),
)


def about_you(app: App[Notebook]) -> list[ft.Control]:
    """Draw the choices; each is kept when it is made."""
    notebook = app.services
    chosen = preferences(notebook)
    kept = settling_days_of(notebook.record.alive, notebook.now())
    form = Form(app, "about you", {"settling": str(kept)})
    settling = form.whole("settling", 1, 60, needed=worded("Write a number of days."))

    def keep(name: str, value: str) -> None:
        if chosen.get(name) != value:
            notebook.save("preference", notebook.now(), {"name": name, "value": value})
        app.refresh()

    def save_days() -> None:
        keep("settling days", str(settling))
        form.clear()
        app.say(worded("The settling days are saved."))

    return [
        body(worded("All of this may stay as it is.")),
        choice(worded("Where does the stiffness come from?"), _ORIGINS, chosen.get("origin", ""),
               lambda value: keep("origin", value),
               helper=worded("The label names other steps for each; they are shown beside a"
                             " change.")),
        # Note: whether the person with the pump is a child.
        choice(worded("A child?"), NO_YES, chosen.get("child", "no"),
               lambda value: keep("child", value), in_row=True),
        quiet_button(worded("Risks and details on the card"), lambda: app.go("/care")),
        choice(worded("Titles in the calendar file"), _TITLES,
               chosen.get("calendar titles", "plain"),
               lambda value: keep("calendar titles", value),
               helper=worded("Others may see your calendar.")),
        section(worded("After a dose change")),
        stepper(worded("Settling days"), form.text("settling"), form.typed("settling"),
                least="1", error=form.error("settling"),
                helper=worded("How long to wait before what follows it can be judged. The label"
                              " says 24 to 48 hours to the full effect; 3 to 5 days are common.")),
        *form.save_button(worded("Save the settling days"), save_days),
    ]  # fmt: skip
