"""Values as compact JSON text, or one sentence why that cannot be."""

import json

from pocketpump.core.errors import InputError
from pocketpump.core.messages import message


def to_text(value: object) -> bytes:
    """Return ``value`` as compact JSON in UTF-8.

    Raises :class:`InputError` when it is not JSON (or holds NaN or half a character), so that
    a bad value never reaches the disk.
    """
    try:
        text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
        return text.encode()
    except (TypeError, ValueError, RecursionError) as error:
        raise InputError(
            message(
                "This holds something that cannot be written down, so it was not saved; "
                "please change it and save again."
            )
        ) from error
