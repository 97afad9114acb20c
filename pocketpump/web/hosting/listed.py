"""What page and service worker say of the build they belong to."""

from __future__ import annotations

import html
import json
import re
from dataclasses import dataclass
from typing import Any

#: A build has some forty files; a made-up list shall not keep us busy.
MOST_FILES = 400
_PATH = re.compile(r"(?:[A-Za-z0-9_~-][A-Za-z0-9._~-]*/)*[A-Za-z0-9_~-][A-Za-z0-9._~-]*")
_SUM = re.compile(r"[0-9a-f]{64}")
_POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"<>]*)">')


@dataclass(frozen=True, slots=True)
class Listed:
    """One file of the build: its path below the base, its SHA-256, and whether it may wait."""

    path: str
    sum: str
    late: bool


@dataclass(frozen=True, slots=True)
class PageSays:
    """What the page says of itself."""

    base: str
    policy: str


def _told(text: str, name: str) -> dict[str, Any] | None:
    """Return the JSON object that the script ``text`` gives the name ``name``."""
    start = re.search(rf"\b{name} = (?=\{{)", text)
    if not start:
        return None
    try:
        found, _ = json.JSONDecoder().raw_decode(text, start.end())
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None


def page_says(page: bytes) -> PageSays | None:
    """Return what ``page`` says; None if it is no page of PocketPump."""
    text = page.decode("utf-8", "replace")
    told = _told(text, "PAGE")
    policy = _POLICY.search(text)
    if told is None or policy is None or not isinstance(told.get("base"), str):
        return None
    return PageSays(told["base"], html.unescape(policy[1]))


def files_listed(script: bytes) -> tuple[Listed, ...] | None:
    """Return the files that the service worker lists; None if it is not one of PocketPump."""
    told = _told(script.decode("utf-8", "replace"), "RELEASE")
    rows = told.get("files") if told else None
    if not isinstance(rows, list) or not 0 < len(rows) <= MOST_FILES:
        return None
    found = []
    for row in rows:
        if not (isinstance(row, list) and len(row) == 3):
            return None
        path, digest, late = row
        if not (isinstance(path, str) and isinstance(digest, str) and isinstance(late, bool)):
            return None
        if not (len(path) < 200 and _PATH.fullmatch(path) and _SUM.fullmatch(digest)):
            return None
        found.append(Listed(path, digest, late))
    return tuple(found)
