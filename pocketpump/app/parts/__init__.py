"""The parts every screen is made of. A screen imports from here and nowhere deeper.

Parts are functions from values to controls and keep no state of their own: draw again
with new values and flet changes only what differs.
"""

from pocketpump.app.parts.buttons import big_button, quiet_button
from pocketpump.app.parts.call_line import call_line
from pocketpump.app.parts.calls import Pinned, call_button, dialling
from pocketpump.app.parts.chart import chart_picture, shift_pictures
from pocketpump.app.parts.check_boxes import check_boxes
from pocketpump.app.parts.choice import choice
from pocketpump.app.parts.date_time_fields import date_field, time_field
from pocketpump.app.parts.expander import expander
from pocketpump.app.parts.fields import secret_field, text_field
from pocketpump.app.parts.layout import column, scroll_key
from pocketpump.app.parts.number_grid import number_grid
from pocketpump.app.parts.reservoir_chart import reservoir_chart
from pocketpump.app.parts.stepper import stepper
from pocketpump.app.parts.tap_guard import TapGuard
from pocketpump.app.parts.texts import body, card, explain, fact_row, notice, section

__all__ = [
    "Pinned",
    "TapGuard",
    "big_button",
    "body",
    "call_button",
    "call_line",
    "card",
    "chart_picture",
    "check_boxes",
    "choice",
    "column",
    "date_field",
    "dialling",
    "expander",
    "explain",
    "fact_row",
    "notice",
    "number_grid",
    "quiet_button",
    "reservoir_chart",
    "scroll_key",
    "secret_field",
    "section",
    "shift_pictures",
    "stepper",
    "text_field",
    "time_field",
]
