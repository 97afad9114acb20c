"""Every command that the README shows does what it is shown for."""

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

from pocketpump.exchange.backup.passphrase_strength import strength_of

ROOT = Path(__file__).parents[2]
PASSPHRASE = "four small words"


def commands() -> list[list[str]]:
    text = (ROOT / "README.md").read_text()
    block = re.search(r"## From the command line\n\n```sh\n(.*?)```", text, re.S)[1]
    lines = block.replace("\\\n", " ").replace("&&", "\n").splitlines()
    return [shlex.split(line, comments=True) for line in lines if line.strip()]


def test_every_command_in_the_readme_runs(tmp_path):
    record = tmp_path / "record"
    (tmp_path / "passphrase").write_text(PASSPHRASE + "\n")
    (tmp_path / "refills.csv").write_text("date,volume,strength\n2019-04-03,40 mL,500 mcg/mL\n")
    places = {"PATH": str(record), "OTHER-FOLDER-OR-BACKUP": str(ROOT / "demo" / "record")}
    shown = commands()
    assert len(shown) >= 12
    for program, *words in shown:
        assert program == "pocketpump"
        # Some of them empty the record, so each begins with its own.
        shutil.rmtree(record, ignore_errors=True)
        shutil.copytree(ROOT / "demo" / "record", record)
        told = [places.get(word, word) for word in words]
        if {"--lock", "pocketpump-backup.json"} & set(told):
            told += ["--passphrase-file", "passphrase"]  # else it is asked for on the terminal
        if "erase" in told:
            told += ["--word", "erase"]
        done = subprocess.run(
            [sys.executable, "-m", "pocketpump", *told],
            cwd=tmp_path, capture_output=True, text=True, check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT), "POCKETPUMP_RECORD": str(record)},
        )  # fmt: skip
        # How strong a new passphrase is, is said beside the answer.
        locks = {"backup", "start-over", "erase"} & set(told) and "--passphrase-file" in told
        said = strength_of(PASSPHRASE).sentence + "\n" if locks else ""
        assert (done.returncode, done.stderr) == (0, said), (told, done.stderr)
        assert done.stdout.strip(), told
