"""A drawn screen is said in another language, and what the person typed is left as it is."""

import flet as ft
import flet.canvas as cv
from loud import Loud

from pocketpump.app.parts import text_field
from pocketpump.app.rewording import reword
from pocketpump.core.wording import worded


def test_said_texts_are_translated_wherever_they_stand_and_typed_ones_are_not():
    own = ft.Text("Bob")
    tree = ft.Column(
        [
            ft.Semantics(label=worded("level {x}", x="low"), content=ft.Text(worded("hello"))),
            cv.Canvas([cv.Text(0, 0, worded("drawn"))]),
            text_field(worded("Name"), "typed", lambda text: None, error=worded("wrong")),
            own,
        ]
    )
    reword(tree, Loud())
    assert tree.controls[0].label == "LEVEL low"
    assert tree.controls[0].content.value == "HELLO"
    assert tree.controls[1].shapes[0].value == "DRAWN"
    assert own.value == "Bob"
