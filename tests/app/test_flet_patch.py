"""An answer for a control that is gone is passed over; flet alone would end the tab."""

import asyncio
from types import SimpleNamespace

import pytest
from flet.messaging.session import Session
from flet.pubsub.pubsub_hub import PubSubHub

from pocketpump.app.server import flet_patch


def answer_for_a_control_that_is_gone() -> None:
    async def answered() -> None:
        loop = asyncio.get_running_loop()
        connection = SimpleNamespace(page_url="", loop=loop, pubsubhub=PubSubHub(loop))
        Session(connection).handle_invoke_method_results(85, "call", None, None)

    asyncio.run(answered())


def test_nobody_is_disturbed_by_it(monkeypatch):
    monkeypatch.setattr(Session, "handle_invoke_method_results", flet_patch._ordinary)
    # Once flet itself passes it over, the mend can go.
    with pytest.raises(RuntimeError, match="not registered"):
        answer_for_a_control_that_is_gone()
    flet_patch.install_flet_patch()
    answer_for_a_control_that_is_gone()
