"""A photo or scan of the clinic's papers on its way into the record."""

from base64 import b64decode, b64encode
from collections.abc import Iterable, Mapping
from typing import Any

from pocketpump.core.errors import InputError, shown
from pocketpump.core.messages import message
from pocketpump.exchange.backup.backup import megabytes
from pocketpump.record import Entry
from pocketpump.record.entry import bounds
from pocketpump.record.entry.kinds import LARGEST_ATTACHMENT

# How a file of each kind begins: the PNG, JPEG, WebP and PDF specifications.
_BEGINNINGS = {
    b"\x89PNG\r\n\x1a\n": "image/png",
    b"\xff\xd8\xff": "image/jpeg",
    b"RIFF": "image/webp",
    b"%PDF-": "application/pdf",
}
MOST_PAPERS = 200 * 1024 * 1024
"""Bytes of all papers as a backup writes them; the rest of a backup is for entries."""
_LONGEST_SIDE = 1600
"""Pixels: a printed page stays readable at this size."""
_QUALITIES = (80, 65, 50, 35)


def attachment_payload(name: str, data: bytes) -> dict[str, Any]:
    """Return the payload that keeps a file; raises `InputError`, saying what to do instead.

    A picture that is too large is made smaller where Pillow is installed; without it (in
    the browser build) the sentence says how to make a smaller one.
    """
    kind = media_type(data)
    if not kind:
        raise InputError(
            message('"{name}" is no picture or PDF: choose a photo or a scan.', name=shown(name))
        )
    if len(data) > LARGEST_ATTACHMENT and kind.startswith("image/"):
        data, kind = _smaller(data), "image/jpeg"
    if not data or len(data) > LARGEST_ATTACHMENT:
        raise InputError(
            message(
                '"{name}" is larger than {size} kB: take the photo in a small size, or crop it to'
                " the page, and choose it again.",
                name=shown(name),
                size=LARGEST_ATTACHMENT // 1024,
            )
        )
    return {"name": name[:200], "media_type": kind, "data": b64encode(data).decode("ascii")}


def papers_size(entries: Iterable[Entry]) -> int:
    """Return how much room all papers ever kept take in a backup: bytes, removed ones too."""
    return sum(len(str(one.payload.get("data", ""))) for one in entries if one.kind == "attachment")


def check_room(entries: Iterable[Entry], payload: Mapping[str, Any]) -> None:
    """Raise `InputError` when one more paper would not fit into a backup any more."""
    kept = tuple(entries)
    size = papers_size(kept)
    rest = sum(len(one.line) for one in kept) - size
    most = min(MOST_PAPERS, bounds.RECORD_BYTES - rest)
    size += len(str(payload["data"]))
    if size > most:
        raise InputError(
            message(
                "Photos and scans fill {size} of {most} MB, the most that a backup can hold, so"
                " this one was not added. Keep it outside PocketPump.",
                size=megabytes(size),
                most=megabytes(max(most, 0)),
            )
        )


def attachment_bytes(payload: Any) -> bytes:
    """Return the file that a payload keeps; raises `InputError` when it cannot be read."""
    try:
        return b64decode(payload["data"], validate=True)
    except (KeyError, TypeError, ValueError):
        # From a damaged or foreign copy.
        raise InputError(
            message("This picture cannot be read: remove it, or add it again.")
        ) from None


def media_type(data: bytes) -> str:
    """Return the media type by how the file begins; "" for one that is not kept."""
    kind = next((kind for start, kind in _BEGINNINGS.items() if data.startswith(start)), "")
    return "" if kind == "image/webp" and data[8:12] != b"WEBP" else kind


def _smaller(data: bytes) -> bytes:
    """Return the picture as a JPEG that fits, or b"" when that cannot be done here."""
    try:
        from io import BytesIO

        from PIL import Image, ImageOps
    except ImportError:
        return b""
    try:
        with Image.open(BytesIO(data)) as opened:
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError):
        return b""
    picture.thumbnail((_LONGEST_SIDE, _LONGEST_SIDE))
    for quality in _QUALITIES:
        written = BytesIO()
        picture.save(written, "JPEG", quality=quality, optimize=True)
        if len(written.getvalue()) <= LARGEST_ATTACHMENT:
            return written.getvalue()
    return b""
