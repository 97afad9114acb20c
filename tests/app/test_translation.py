"""A drawn screen is said in another language, and what the person typed is left as it is."""

from decimal import Decimal

import flet as ft
import flet.canvas as cv
import pytest
from loud import Loud
from screen_hand import in_use, save, texts

from pocketpump.app.parts import text_field
from pocketpump.app.parts.fields import typed_box
from pocketpump.app.parts.stepper import stepped
from pocketpump.app.screens.refills import refill_form
from pocketpump.app.shell.translation import translate
from pocketpump.core.messages import message
from pocketpump.core.units.quantity import format_number


def test_said_texts_are_translated_wherever_they_stand_and_typed_ones_are_not():
    own = ft.Text("Bob")
    tree = ft.Column(
        [
            ft.Semantics(label=message("level {x}", x="low"), content=ft.Text(message("hello"))),
            cv.Canvas([cv.Text(0, 0, message("drawn"))]),
            text_field(message("Name"), "typed", lambda text: None, error=message("wrong")),
            own,
        ]
    )
    translate(tree, Loud())
    assert tree.controls[0].label == "LEVEL low"
    assert tree.controls[0].content.value == "HELLO"
    assert tree.controls[1].shapes[0].value == "DRAWN"
    assert own.value == "Bob"


TYPED = ["1,000", "1,125", "2,000", "500,000", "1.000", "0,5", "0,500", "20", "05.03.2026"]


@pytest.mark.parametrize("typed", TYPED)
def test_what_was_typed_stays_letter_by_letter_in_every_language(typed):
    box = typed_box(typed, lambda text: None)
    translate(box, Loud())
    assert box.value == typed


def test_a_number_of_ours_is_still_shown_so_that_it_reads_in_one_way():
    box = typed_box(format_number(1.125), lambda text: None)
    translate(box, Loud())
    assert box.value == "1,1250"


@pytest.mark.parametrize("step", [Decimal(500), Decimal(-500)])
def test_a_step_from_a_number_that_reads_two_ways_changes_nothing(step):
    box = typed_box("1,000", lambda text: None)
    translate(box, Loud())
    assert stepped(box.value, step) == "1,000"


def test_a_typed_number_that_reads_two_ways_is_asked_about_and_not_saved():
    app = in_use()
    app.draft("refill:").update(strength_mcg_per_ml="1,000")
    before = app.services.record.alive
    save(refill_form.refill, app)
    assert app.services.record.alive == before
    assert [text for text in texts(refill_form.refill(app)) if "can be read in two ways" in text]
