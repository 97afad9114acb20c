"""What commands print: text for people, JSON for programs."""

import json
import textwrap
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from pocketpump.cli.options import CAUTION
from pocketpump.core.pump.state import State
from pocketpump.core.safety.sign_table import EMERGENCY_SIGNS

# Nine decimals keep every digit that means something and drop floating-point crumbs.
_DECIMALS = 9
_WIDTH = 88


class WrongFoundError(Exception):
    """A command found that something is wrong: its text is printed, with exit status 1."""


def to_json(values: Mapping[str, Any]) -> str:
    """Return ``values`` as JSON: instants in ISO 8601 with offset, dates as dates."""
    return json.dumps(_plain(values), indent=2, ensure_ascii=False)


def to_table(rows: Mapping[str, Any]) -> str:
    """Return ``rows`` as aligned "label  value" lines; None reads as "never"."""
    width = max(len(label) for label in rows)
    return "\n".join(f"{label:<{width}}  {_text(value)}" for label, value in rows.items())


def state_values(state: State | None) -> dict[str, str | None]:
    """Return ``state`` under the names that ``--json`` promises; None where none was computed."""
    if state is None:
        return {"state": None, "sentence": None}
    return {"state": state.word, "sentence": state.sentence}


def state_lines(state: State) -> list[str]:
    """Return the sentence of ``state``, with the emergency signs where it is grave."""
    signs = [EMERGENCY_SIGNS] if state.is_grave else []
    return [*textwrap.wrap(" ".join([state.sentence, *signs]), _WIDTH), ""]


def caution_lines() -> list[str]:
    """Return the caution that stands under every date the command line prints."""
    return ["", *textwrap.wrap(CAUTION, _WIDTH)]


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return round(value, _DECIMALS)
    return value


def _text(value: Any) -> str:
    if value is None:
        return "never"
    if isinstance(value, datetime):
        return f"{value:%a} {value.day} {value:%b %Y, %H:%M}"
    if isinstance(value, date):
        return f"{value:%a} {value.day} {value:%b %Y}"
    return str(value)
