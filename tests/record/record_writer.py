"""A process that writes and writes until it is killed; imports once, forks a writer on request.

Reads lines ``folder prefix`` from standard input. For each, a forked child opens the record
and adds entries, printing ``try ID`` before and ``ack ID`` after each; the parent prints
``pid N`` before and ``gone`` when the child has ended.
"""

import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from pocketpump.record import DiskFiles, Record
from pocketpump.record.journal import tinydb_storage


def say(text: str) -> None:
    os.write(1, (text + "\n").encode())


def write_for_ever(folder: str, prefix: str) -> None:
    tinydb_storage.FOLD_AFTER = 40
    number = 0

    def make_id() -> str:
        nonlocal number
        number += 1
        fresh = f"{prefix}-{number:06}"
        say(f"try {fresh}")
        return fresh

    record = Record.open(DiskFiles(Path(folder)), make_id=make_id)
    while True:
        entry = record.add("check-in", datetime.now(UTC), "", {"stiffness": 4})
        say(f"ack {entry.id}")


for line in sys.stdin:
    pid = os.fork()
    if not pid:
        write_for_ever(*line.split())
    say(f"pid {pid}")
    os.waitpid(pid, 0)
    say("gone")
