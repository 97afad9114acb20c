"""A drawn screen is said in another language, and what the person typed is left as it is."""

import flet as ft
import flet.canvas as cv

from pocketpump.app.parts import text_field
from pocketpump.app.rewording import reword
from pocketpump.core.wording import worded


class Loud:
    """A language that is English in capitals; what it has not said stays small."""

    def text(self, message):
        return "{".join(
            piece
            if "}" not in piece
            else piece.partition("}")[0] + "}" + piece.partition("}")[2].upper()
            for piece in (lambda p: [p[0].upper(), *p[1:]])(message.split("{"))
        )

    def counted(self, one, many, count):
        return self.text(one if count == 1 else many)

    def number(self, text):
        return text.replace(".", ",")

    def day(self, day, *, weekday):
        return f"DAY {day.day}"

    def month(self, day):
        return f"MONTH {day.month}"


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
