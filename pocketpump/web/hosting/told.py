"""What was found on a host, as text for people and as plain values for JSON."""

from __future__ import annotations

import ssl
import textwrap
from collections.abc import Sequence
from typing import Any

from pocketpump.web.hosting.address import Address
from pocketpump.web.hosting.change import change, server_of
from pocketpump.web.hosting.fetch import Limits
from pocketpump.web.hosting.findings import Finding, findings
from pocketpump.web.hosting.visit import Visit, visit

_WIDTH = 96
_INDENT = " " * 7


def look(
    address: Address, limits: Limits | None = None, context: ssl.SSLContext | None = None
) -> Visit:
    """Visit ``address``; raises :class:`BuildError` if no host answers there."""
    return visit(address, limits or Limits(), context or ssl.create_default_context())


def is_right(found: Sequence[Finding]) -> bool:
    """Tell whether nothing is wrong."""
    return all(finding.right for finding in found)


def as_text(seen: Visit) -> tuple[str, bool]:
    """Return a line for each thing that was looked at, and whether all is right."""
    found = findings(seen)
    server = server_of(seen.page)
    lines: list[str] = []
    for finding in found:
        mark = "ok" if finding.right else "WRONG"
        lines += _wrapped(f"{mark:<7}{finding.text}")
        if not finding.right and (what := change(finding.about, server)):
            lines += _wrapped(f"{_INDENT}Change: {what}")
    return "\n".join([*lines, "", _summary(found)]), is_right(found)


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(
        text, _WIDTH, subsequent_indent=_INDENT, break_long_words=False, break_on_hyphens=False
    )


def _summary(found: Sequence[Finding]) -> str:
    wrong = [finding for finding in found if not finding.right]
    if not wrong:
        return "Everything is right."
    broken = sum(finding.breaks for finding in wrong)
    count = "One thing is wrong" if len(wrong) == 1 else f"{len(wrong)} things are wrong"
    if not broken:
        return f"{count}; the app works, but slower or less guarded than it could be."
    part = "it keeps" if len(wrong) == 1 else f"{broken} of them can keep"
    return f"{count}; {part} the app from starting, from working offline or from being renewed."


def as_values(seen: Visit) -> tuple[dict[str, Any], bool]:
    """Return the same under names that stay, and whether all is right."""
    found = findings(seen)
    server = server_of(seen.page)
    values = {
        "address": seen.address.url,
        "right": is_right(found),
        "server": server or None,
        "findings": [
            {
                "about": finding.about,
                "right": finding.right,
                "breaks": finding.breaks,
                "text": finding.text,
                "change": None if finding.right else change(finding.about, server) or None,
                "files": list(finding.paths),
            }
            for finding in found
        ],
    }
    return values, is_right(found)
