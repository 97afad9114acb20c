"""Drives Pyodide under Node: byte-compiles the Python side and takes the memory snapshot.

Pyodide's own copy in flet-web is used, so bytecode and memory fit the interpreter that will
load them. Without Node, both steps are left out and the release ships sources.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import zipfile
from collections.abc import Iterable, Mapping
from importlib import resources
from pathlib import Path

from pocketpump.web.errors import BuildError

#: Parts of the standard library the app cannot use in a browser, or only developers do.
STDLIB_LEFT_OUT = (
    "_pyrepl/",
    "doctest.py",
    "ensurepip/",
    "idlelib/",
    "imaplib.py",
    "multiprocessing/",
    "pdb.py",
    "pydoc.py",
    "pydoc_data/",
    "smtplib.py",
    "tkinter/",
    "turtle.py",
    "unittest/",
    "venv/",
    "wsgiref/",
    "xmlrpc/",
)

#: The environment of the interpreter, at build time and for a start without a snapshot.
ENVIRONMENT = {"HOME": "/home/pyodide", "LANG": "en_US.UTF-8", "MSGPACK_PUREPYTHON": "1"}

#: A fixed instant for what is frozen in the snapshot (1 January 2026).
EPOCH = 1767225600


def node() -> str | None:
    """Return the path of Node, or None."""
    return shutil.which("node")


def stdlib_sources(pyodide: Path) -> dict[str, bytes]:
    """Return the files of Pyodide's standard library, without the parts never used."""
    with zipfile.ZipFile(pyodide / "python_stdlib.zip") as archive:
        return {
            info.filename: archive.read(info)
            for info in archive.infolist()
            if not info.is_dir() and not info.filename.startswith(STDLIB_LEFT_OUT)
        }


def stdlib_for_papers(pyodide: Path) -> dict[str, bytes]:
    """Return what fpdf2 needs of the parts left out: its signing asks for ``unittest.mock``."""
    with zipfile.ZipFile(pyodide / "python_stdlib.zip") as archive:
        names = (name for name in archive.namelist() if name.startswith("unittest/"))
        return {name: archive.read(name) for name in names if not name.endswith("/")}


def lock_info(pyodide: Path) -> dict[str, str]:
    """Return what Pyodide's package list says of the interpreter itself."""
    lock = json.loads((pyodide / "pyodide-lock.json").read_text(encoding="utf-8"))
    info: dict[str, str] = lock["info"]
    return info


def compile_all(sources: Mapping[str, bytes], pyodide: Path, work: Path) -> dict[str, bytes]:
    """Return the bytecode of every ``.py`` in ``sources``, keyed by its ``.pyc`` path.

    Docstrings and column numbers are left out: no one sees them in a browser, and they are
    a third of the archives and of the snapshot.
    """
    source, target = work / "source", work / "bytecode"
    for folder in (source, target):
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
    for name, data in sources.items():
        if name.endswith(".py"):
            path = source / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
    _run("compile.mjs", {"pyodide": pyodide, "source": source, "target": target}, work)
    return {
        path.relative_to(target).as_posix(): path.read_bytes() for path in target.rglob("*.pyc")
    }


def take_snapshot(
    archives: Mapping[str, bytes], stdlib: bytes, prepare: str, pyodide: Path, work: Path
) -> bytes:
    """Return the memory of an interpreter that has run ``prepare``.

    ``archives`` are written to their paths first, as the worker does in the browser.
    """
    places: dict[str, str] = {}
    for number, (path, data) in enumerate(sorted(archives.items())):
        file = work / f"archive{number}.zip"
        file.write_bytes(data)
        places[path] = str(file)
    (work / "stdlib.zip").write_bytes(stdlib)
    output = work / "snapshot.raw"
    job = {
        "pyodide": pyodide,
        "stdlib": work / "stdlib.zip",
        "archives": places,
        "prepare": prepare,
        "environment": ENVIRONMENT,
        "epoch": EPOCH,
        "output": output,
    }
    _run("snapshot.mjs", job, work)
    return output.read_bytes()


def prepare_script(start_module: str, entry: str, flet_names: Iterable[str]) -> str:
    """Return the Python text that imports the app, for Node and for an ordinary start."""
    return (
        "import os, sys\n"
        f"os.environ.update({ENVIRONMENT!r})\n"
        "sys.path[:0] = ['/app/site.zip', '/app/tz.zip']\n"
        "sys.path.append('/app/papers.zip')\n"
        "import importlib\n"
        f"importlib.import_module({start_module!r}).prepare("
        f"{entry!r}, {sorted(flet_names)!r})\n"
    )


def _run(script: str, job: Mapping[str, object], work: Path) -> None:
    program = node()
    if program is None:
        raise BuildError("Node is needed for this step: install it, or build with --no-snapshot.")
    order = work / f"{script}.json"
    order.write_text(json.dumps(job, default=str), encoding="utf-8")
    with resources.as_file(resources.files(__package__) / "node") as folder:
        done = subprocess.run(
            [program, str(folder / script), str(order)], capture_output=True, text=True, check=False
        )
    if done.returncode != 0:
        # Node shows the line it stopped at, which in Pyodide's own script has a megabyte.
        told = [line for line in (done.stderr or done.stdout).splitlines() if len(line) < 1000]
        raise BuildError(f"Node could not run {script}:\n" + "\n".join(told[-60:]))
