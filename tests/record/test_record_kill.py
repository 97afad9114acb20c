"""A writing process killed at random instants loses nothing that it acknowledged."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from pocketpump.record import DiskFiles, Record, RecordInUseError

ROUNDS = 300 if os.environ.get("POCKETPUMP_THOROUGH") == "1" else 100
HERE = Path(__file__).parent
ROOT = HERE.parents[1]

posix = pytest.mark.skipif(os.name != "posix", reason="needs fork and SIGKILL")


@posix
def test_after_kill_9_again_and_again_acknowledged_within_seen_within_attempted(
    tmp_path: Path,
) -> None:
    chance = random.Random()
    attempted, acknowledged = set[str](), set[str]()
    killed_after_a_save = 0
    writer = subprocess.Popen(
        [sys.executable, str(HERE / "record_writer.py")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        text=True,
    )
    assert writer.stdin is not None
    assert writer.stdout is not None
    with writer:
        for number in range(ROUNDS):
            if number % 20 == 0:
                folder = tmp_path / f"record-{number}"
                attempted.clear()
                acknowledged.clear()
            writer.stdin.write(f"{folder} {number:03}\n")
            writer.stdin.flush()
            lines: list[str] = []
            pid = 0
            while not pid:
                lines.append(writer.stdout.readline().strip())
                if lines[-1].startswith("pid "):
                    pid = int(lines[-1].split()[1])
            # every other round is killed soon after a save, the rest while opening too
            while number % 2 and not lines[-1].startswith("ack "):
                lines.append(writer.stdout.readline().strip())
            time.sleep(chance.uniform(0.002, 0.15))
            os.kill(pid, signal.SIGKILL)
            while lines[-1] != "gone":
                lines.append(writer.stdout.readline().strip())
            attempted |= {line[4:] for line in lines if line.startswith("try ")}
            acknowledged |= {line[4:] for line in lines if line.startswith("ack ")}
            killed_after_a_save += any(line.startswith("ack ") for line in lines)
            with Record.open(DiskFiles(folder)) as record:
                seen = {entry.id for entry in record.entries}
            assert acknowledged <= seen <= attempted
        writer.stdin.close()
    assert killed_after_a_save > ROUNDS // 2
    print(f"\n{ROUNDS} kills, {killed_after_a_save} of them after saves")


def test_a_second_opener_in_this_process_is_told_kindly(tmp_path: Path) -> None:
    first = Record.open(DiskFiles(tmp_path / "r"))
    with pytest.raises(RecordInUseError, match="already open in another PocketPump"):
        DiskFiles(tmp_path / "r")
    first.close()
    Record.open(DiskFiles(tmp_path / "r")).close()


def test_a_second_process_is_told_kindly_and_the_first_goes_on(tmp_path: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from pocketpump.record import DiskFiles\n"
        "from pocketpump.record import RecordInUseError\n"
        "try: DiskFiles(Path(sys.argv[1]))\n"
        "except RecordInUseError: print('refused')"
    )
    with Record.open(DiskFiles(tmp_path / "r")) as record:
        done = subprocess.run(
            [sys.executable, "-c", code, str(tmp_path / "r")],
            env={**os.environ, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.strip() == "refused"
        record.add("check-in", record._clock(), "", {"stiffness": 1})
