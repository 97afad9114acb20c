"""A refused save keeps the caret's box, survives any key on the screen, and is hard to overrule."""

from types import SimpleNamespace

import flet as ft
import pytest
from screen_hand import controls_in, in_use, save

from pocketpump.app.parts import text_field
from pocketpump.app.screens.pump import dose_form
from pocketpump.app.shell.refused_save import Refusal


def drawn(error: str) -> ft.Column:
    scrolled_to = ft.Container(ft.Text("told"), key=ft.ScrollKey("tried"))
    return ft.Column([scrolled_to, text_field("Size", "", lambda _text: None, error=error)])


def keys(column: ft.Column) -> list[object]:
    return [getattr(one.key, "value", one.key) for one in controls_in([column])]


def test_a_screen_with_scroll_keys_of_its_own_is_drawn_again_after_a_refusal():
    async def scroll(_key: str) -> None: ...

    refusal = Refusal(SimpleNamespace(run_task=lambda *_: None), scroll)
    refusal.begin()
    first = drawn("Write the size in mL.")
    refusal.drawn(first)
    marked = [key for key in keys(first) if str(key).startswith("error ")]
    assert len(marked) == 1
    # Once mended, what is beside the box keeps its key, or the box would lose the caret.
    mended = drawn("")
    refusal.drawn(mended)
    assert [key for key in keys(mended) if str(key).startswith("error ")] == marked
    refusal.end()
    other = drawn("")
    refusal.drawn(other)
    assert not [key for key in keys(other) if str(key).startswith("error ")]


@pytest.mark.parametrize("presses", [1, 2, 5])
def test_pressing_save_again_and_again_saves_no_amount_that_was_asked_about(presses):
    app = in_use()
    before = len(app.services.of_kind("programme"))
    app.draft("dose:")["dose"] = "4800"
    for _ in range(presses):
        save(dose_form.dose, app)
    assert len(app.services.of_kind("programme")) == before
    (tick,) = [c for c in controls_in(dose_form.dose(app)) if c.key == "tick:sure"]
    tick.content.content.on_click()
    assert len(app.services.of_kind("programme")) == before
    save(dose_form.dose, app)
    assert len(app.services.of_kind("programme")) == before + 1
