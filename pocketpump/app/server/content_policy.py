"""What the browser may do with our pages: one Content-Security-Policy for desktop and phone."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable

_INLINE = re.compile(rb"<script(?![^>]*\ssrc=)[^>]*>(.*?)</script>", re.DOTALL | re.IGNORECASE)
_STYLE = re.compile(rb"<style[^>]*>(.*?)</style>", re.DOTALL | re.IGNORECASE)

ANY_STYLE = "'unsafe-inline'"
"""For a page that is the same for everybody: Flutter makes style elements whose words differ from
browser to browser, and such a page has no nonce that nobody could know."""


def policy(inline_scripts: Iterable[bytes] = (), styles: str = ANY_STYLE) -> str:
    """Return the Content-Security-Policy: this origin, and nothing else, ever.

    Of the scripts that stand in the page only ``inline_scripts`` run. ``styles`` says which styles
    count beside those of files. ``data:`` and ``blob:`` never leave the device; workers from a
    blob decode Flutter's pictures, and ``wasm-unsafe-eval`` runs its compiled engine: no script
    can be made from text by it.
    """
    hashes = _hashes(inline_scripts)
    return "; ".join(
        (
            "default-src 'self'",
            f"script-src 'self' 'wasm-unsafe-eval'{hashes}",
            f"style-src 'self' {styles}",
            "img-src 'self' data: blob:",
            "font-src 'self' data:",
            "connect-src 'self' data: blob:",
            "worker-src 'self' blob:",
            "object-src 'none'",
            "base-uri 'self'",
            "form-action 'none'",
        )
    )


def styles_of(page: bytes, nonce: str) -> str:
    """Return what allows the styles in the text of a page, and those marked with ``nonce``."""
    return f"'nonce-{nonce}'{_hashes(_STYLE.findall(page))}"


def framed_nowhere(rules: str) -> str:
    """Return the policy ``rules`` as sent with a page: no other page may show it in itself."""
    return f"{rules}; frame-ancestors 'none'"


def scripts_in(page: bytes) -> tuple[bytes, ...]:
    """Return the scripts that stand in the text of a page, in their order."""
    return tuple(_INLINE.findall(page))


def _hashes(texts: Iterable[bytes]) -> str:
    sums = (base64.b64encode(hashlib.sha256(text).digest()).decode() for text in texts)
    return "".join(f" 'sha256-{one}'" for one in sums)
