"""The parts every screen is made of. A screen imports from here and nowhere deeper.

Parts are functions from values to controls and keep no state of their own: draw again
with new values and flet changes only what differs.
"""

from pocketpump.app.parts.buttons import big_button, quiet_button
from pocketpump.app.parts.call_line import call_line
from pocketpump.app.parts.calls import Pinned, call_button, dialling
from pocketpump.app.parts.choice import choice
from pocketpump.app.parts.fields import secret_field, text_field
from pocketpump.app.parts.fold import fold
from pocketpump.app.parts.grid import number_grid
from pocketpump.app.parts.moments import date_field, time_field
from pocketpump.app.parts.pace import Lesson, pace_chart
from pocketpump.app.parts.stepper import stepper
from pocketpump.app.parts.taps import TapGuard
from pocketpump.app.parts.ticks import ticks
from pocketpump.app.parts.waterline import waterline
from pocketpump.app.parts.words import body, card, explain, fact_row, notice, section

__all__ = [
    "Lesson",
    "Pinned",
    "TapGuard",
    "big_button",
    "body",
    "call_button",
    "call_line",
    "card",
    "choice",
    "date_field",
    "dialling",
    "explain",
    "fact_row",
    "fold",
    "notice",
    "number_grid",
    "pace_chart",
    "quiet_button",
    "secret_field",
    "section",
    "stepper",
    "text_field",
    "ticks",
    "time_field",
    "waterline",
]
