"""What the browser may do with our pages: one Content-Security-Policy for desktop and phone."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable

_INLINE = re.compile(rb"<script(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.DOTALL | re.IGNORECASE)


def policy(inline_scripts: Iterable[bytes] = ()) -> str:
    """Return the Content-Security-Policy: this origin, and nothing else, ever.

    Of the scripts that stand in the page only ``inline_scripts`` run. Flutter sets styles from
    script, hence the one ``unsafe-inline``; ``data:`` and ``blob:`` never leave the device.
    """
    hashes = "".join(
        f" 'sha256-{base64.b64encode(hashlib.sha256(text).digest()).decode()}'"
        for text in inline_scripts
    )
    return "; ".join(
        (
            "default-src 'self'",
            f"script-src 'self' 'wasm-unsafe-eval'{hashes}",
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "font-src 'self' data:",
            "connect-src 'self' data: blob:",
            "worker-src 'self' blob:",
            "object-src 'none'",
            "base-uri 'self'",
            "form-action 'none'",
        )
    )


def framed_nowhere(rules: str) -> str:
    """Return the policy ``rules`` as sent with a page: no other page may show it in itself."""
    return f"{rules}; frame-ancestors 'none'"


def scripts_in(page: bytes) -> tuple[bytes, ...]:
    """Return the scripts that stand in the text of a page, in their order."""
    return tuple(_INLINE.findall(page))
