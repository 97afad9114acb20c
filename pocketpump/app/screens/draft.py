"""What a screen without a form keeps of its own: an answer, how much is shown."""

from collections.abc import MutableMapping
from typing import Any

from pocketpump.app.shell.shell import App


def put(app: App[Any], draft: MutableMapping[str, Any], name: str, value: Any) -> None:
    """Take ``value`` into ``draft`` and draw the screen again."""
    draft[name] = value
    app.refresh()
