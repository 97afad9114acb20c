"""A refill noted twice is told where the person sees it."""

import pytest
from screen_hand import in_use, texts

from pocketpump.app.screens.refills import refills
from pocketpump.app.screens.today import today


@pytest.mark.parametrize("screen", [today, refills], ids=lambda screen: screen.__name__)
def test_the_same_refill_again_is_told(screen):
    app = in_use()
    assert not [text for text in texts(screen(app)) if "noted twice" in text]
    app.note("refill", "2026-03-12T09:20", {"filled_ml": 20.0, "strength_mcg_per_ml": 500.0})
    assert [text for text in texts(screen(app)) if "noted twice" in text]
