"""About you: what the label's ranges, the reminders and the calendar depend on."""

import flet as ft

from pocketpump.app.forms.fields import Whole
from pocketpump.app.forms.form import Form
from pocketpump.app.parts import body, choice, section
from pocketpump.app.screens.link import link
from pocketpump.app.screens.saved_files import FULL, NAMES_PREFERENCE, paper_choice
from pocketpump.app.services import Services
from pocketpump.app.shared_texts import NO_YES
from pocketpump.app.shell.shell import App
from pocketpump.core.messages import message
from pocketpump.record.facts.situation import settling_days_of

_ORIGINS = (
    ("", message("Not said")),
    ("spinal", message("The spinal cord, like an injury or multiple sclerosis")),
    ("cerebral", message("The brain, like cerebral palsy or a stroke")),
)
_TITLES = (
    ("plain", message("Plain: Call the clinic")),
    ("full", message("In full: Refill by, Alarm date")),
)
_NAMES = (
    ("plain", message("Plain: card, sheet, notes")),
    (FULL, message("In full: pump emergency card, pump backup")),
)
_SETTLING = Whole(
    "settling", message("Settling days"), unit="", low=1, high=60, least="1",
    needed=message("Write a number of days."),
    helper=message("How long to wait before what follows it can be judged. The label says 24 to 48"
                   " hours to the full effect; 3 to 5 days are common."),
)  # fmt: skip


def about_you(app: App[Services]) -> list[ft.Control]:
    """Draw the choices; each is kept when it is made."""
    services = app.services
    chosen = services.preferences()
    kept = settling_days_of(services.record.alive, services.now())
    form = Form(app, "about you", {"settling": kept}, fields=[_SETTLING])

    def keep(name: str, value: str) -> None:
        if chosen.get(name) != value:
            services.prefer(name, value)
        app.refresh()

    def save_days() -> None:
        keep("settling days", str(form.answer("settling")))
        form.clear()
        app.say(message("The settling days are saved."))

    return [
        body(message("All of this may stay as it is.")),
        choice(message("Where does the stiffness come from?"), _ORIGINS, chosen.get("origin", ""),
               lambda value: keep("origin", value),
               helper=message("The label names other steps for each; they are shown beside a"
                             " change.")),
        # Note: whether the person with the pump is a child.
        choice(message("A child?"), NO_YES, chosen.get("child", "no"),
               lambda value: keep("child", value), in_row=True),
        link(app, message("Risks and details on the card"), "/care"),
        choice(message("Titles in the calendar file"), _TITLES,
               chosen.get("calendar titles", "plain"),
               lambda value: keep("calendar titles", value),
               helper=message("Others may see your calendar.")),
        choice(message("Names of the files you save"), _NAMES,
               chosen.get(NAMES_PREFERENCE, "plain"),
               lambda value: keep(NAMES_PREFERENCE, value),
               helper=message("Others may see what you have saved.")),
        paper_choice(app),
        section(message("After a dose change")),
        form.ask("settling"),
        *form.save_button(message("Save the settling days"), save_days),
    ]  # fmt: skip
