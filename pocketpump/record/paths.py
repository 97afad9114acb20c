"""Where the record is kept unless the person says otherwise."""

from collections.abc import Mapping
from pathlib import Path

from platformdirs import user_data_path

VARIABLE = "POCKETPUMP_RECORD"


def record_folder(environment: Mapping[str, str]) -> Path:
    """Return the record's folder: ``POCKETPUMP_RECORD`` if set, else the user's data folder.

    Nothing is made; a leading ``~`` is the user's home.
    """
    told = environment.get(VARIABLE, "").strip()
    if told:
        return Path(told).expanduser()
    return user_data_path("pocketpump", appauthor=False) / "record"
