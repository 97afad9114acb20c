"""The core's worked examples once more, by the Python that runs in the browser."""

import json
import re
import shutil
import subprocess
from pathlib import Path

import pocketpump
from pocketpump.web import client, packing

HERE = Path(__file__).parent
FILES = ("test_worked_examples.py", "test_residual.py", "test_instants.py")
RUNNER = ("pytest", "pluggy", "iniconfig", "packaging", "pygments", "tzdata")


def test_worked_examples_hold_in_pyodide(node: str, tmp_path: Path) -> None:
    package = Path(pocketpump.__file__).parent
    site, tests = tmp_path / "site", tmp_path / "tests"
    files = {**packing.package_files(package), **packing.python_side({})["site"]}
    for name in RUNNER:
        files.update(packing.distribution_files(name))
    for name, data in files.items():
        path = site / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    tests.mkdir()
    for name in ("core_helpers.py", *FILES):
        shutil.copy(HERE.parent / "core" / name, tests)
    job = tmp_path / "job.json"
    job.write_text(json.dumps({
        "common": (package / "web" / "node" / "common.mjs").as_uri(),
        "pyodide": str(client.web_folder() / "pyodide"),
        "mounts": {"/site": str(site), "/tests": str(tests)},
        "arguments": ["-q", "-p", "no:cacheprovider", "--rootdir=/tests",
                      *(f"/tests/{name}" for name in FILES)],
    }))  # fmt: skip
    done = subprocess.run(
        [node, str(HERE / "run_pytest.mjs"), str(job)],
        capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, (done.stdout + done.stderr)[-3000:]
    passed = re.search(r"(\d+) passed", done.stdout)
    assert passed is not None
    # A run that collected next to nothing proves nothing.
    assert int(passed[1]) >= 40, done.stdout
