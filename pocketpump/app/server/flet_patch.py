"""Mends flet: an answer to a control that is gone by then ended the session."""

from contextlib import suppress
from typing import Any

from flet.messaging.session import Session

_ordinary = Session.handle_invoke_method_results


def install_flet_patch() -> None:
    """Let a control be asked for something (scrolling) and be gone before it has answered.

    flet 1.0.5 raises then, in the one loop that reads what the client sends: a browser's
    tab would hear nothing any more, and the local server would drop the connection.
    """

    def answered(self: Session, *answer: Any, **named: Any) -> None:
        with suppress(RuntimeError):
            _ordinary(self, *answer, **named)

    Session.handle_invoke_method_results = answered  # type: ignore[method-assign]
