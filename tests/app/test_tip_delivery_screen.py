"""What reaches the body, drawn: never less said than is known, never more."""

import pytest
from screen_hand import PUMP, at, in_use, texts

from pocketpump.app.screens.pump.tip_delivery import tip_delivery


@pytest.mark.parametrize(
    ("bridged", "shown", "hidden"),
    [
        # E23, derived: 50 mcg/d for 84 h without a bridge, 21 h with one.
        (None, {"84 hours", "21 hours", "2.1 mcg/h", "Without a bridge"}, set()),
        (False, {"84 hours", "2.1 mcg/h"}, {"21 hours"}),
        (True, {"21 hours", "8.3 mcg/h"}, {"84 hours", "2.1 mcg/h"}),
    ],
)
def test_an_underdose_that_may_have_been_is_shown(bridged, shown, hidden):
    app = in_use(now="2026-03-20T12:00", filled="2026-02-20T09:00")
    app.note("pump", "2026-02-01T11:00", {**PUMP, "line_volume_ml": 0.35})
    refill = {"filled_ml": 20.0, "strength_mcg_per_ml": 2000.0}
    if bridged is not None:
        refill["bridged"] = bridged
    app.note("refill", "2026-03-12T09:00", refill)
    assert app.services.now() == at("2026-03-20T12:00")
    drawn = set(texts(tip_delivery(app)))
    assert shown <= drawn
    assert not hidden & drawn
