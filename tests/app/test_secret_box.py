"""A passphrase is seen only while its own eye shows it, on the screen where that was tapped."""

from screen_hand import OpenTab, controls_in, in_use

from pocketpump.app.parts.fields import SteadyField


def hidden(tab: OpenTab) -> list[bool]:
    fields = [c for c in tab.controls if c.key in ("field:Passphrase", "field:The same again")]
    boxes = [c for c in controls_in(fields) if isinstance(c, SteadyField)]
    return [bool(box.password) for box in boxes]


def test_a_passphrase_that_was_shown_is_hidden_again_on_coming_back():
    tab = OpenTab(in_use().services, "/backup")
    tab.app.draft("backup")["lock"] = "yes"
    tab.app.refresh()
    assert hidden(tab) == [True, True]
    tab.tap("field:Passphrase")
    assert hidden(tab) == [False, True]
    tab.app.go("/today")
    tab.app.go("/backup")
    assert hidden(tab) == [True, True]
