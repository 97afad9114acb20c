"""Where the record is kept unless the person says otherwise, and where what is known of it."""

from collections.abc import Mapping
from pathlib import Path

from platformdirs import user_data_path, user_state_path

VARIABLE = "POCKETPUMP_RECORD"
STATE_VARIABLE = "POCKETPUMP_STATE"


def record_folder(environment: Mapping[str, str]) -> Path:
    """Return the record's folder: ``POCKETPUMP_RECORD`` if set, else the user's data folder.

    Nothing is made; a leading ``~`` is the user's home.
    """
    told = environment.get(VARIABLE, "").strip()
    if told:
        return Path(told).expanduser()
    return user_data_path("pocketpump", appauthor=False) / "record"


def state_folder(environment: Mapping[str, str]) -> Path:
    """Return the folder of marks: ``POCKETPUMP_STATE`` if set, else the user's state folder.

    It belongs to this device: the person does not share it with others, as they may the record's.
    """
    told = environment.get(STATE_VARIABLE, "").strip()
    if told:
        return Path(told).expanduser()
    return user_state_path("pocketpump", appauthor=False)
