"""One locked file opens on the desktop and in the browser, both ways.

The browser's side is the real one: Pyodide as flet-web ships it, with Node's WebCrypto, which
is the same interface as the browser's.
"""

import asyncio
import json
import os
import shutil
import subprocess
import sys
import sysconfig
from datetime import UTC, datetime
from pathlib import Path

import pytest
from made_up_files import PUMP, deep, folder, sealed

import pocketpump
from pocketpump.exchange.backup.cipher import NotOpenedError
from pocketpump.exchange.backup.cipher_desktop import DesktopCipher
from pocketpump.exchange.backup.encrypted import make_backup, open_backup
from pocketpump.record import MemoryFiles, Record, to_document

HERE = Path(__file__).parent
NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)
# A precomposed letter here; the other platform gets it taken apart, as some keyboards send it.
PASSPHRASE, TAKEN_APART = "caf\u00e9 under four trees", "cafe\u0301 under four trees"


def need_node() -> str:
    node = shutil.which("node") or shutil.which("nodejs")
    if node is None:
        if os.environ.get("POCKETPUMP_REQUIRE_BROWSER") == "1":
            pytest.fail("no Node on this machine (POCKETPUMP_REQUIRE_BROWSER=1)", pytrace=False)
        pytest.skip("no Node on this machine")
    return node


@pytest.fixture(scope="module")
def exchanged(tmp_path_factory):
    """The entries, the folder after the browser had its turn, and what it told."""
    node = need_node()
    from flet_web import get_package_web_dir

    work = tmp_path_factory.mktemp("platforms")
    with Record.open(MemoryFiles(), clock=lambda: NOW) as record:
        for number in range(40):
            payload = {"stiffness": number % 11, "note": f"Ü {number} \u2028 \N{PILL}"}
            record.add("check-in", NOW, "Europe/Rome", payload)
        entries = record.entries
    (work / "passphrase").write_text(TAKEN_APART, "utf-8")
    (work / "from-desktop.json").write_bytes(asyncio.run(make_backup(entries, NOW, PASSPHRASE)))
    for levels in (275, 2_000, 200_000):
        texts = [json.dumps(PUMP), deep(levels)]
        (work / f"deep-{levels}.json").write_bytes(sealed(*texts))
        for data in folder(*texts).values():
            (work / f"deep-record-{levels:06}.jsonl").write_bytes(data)
    done = subprocess.run(
        [node, HERE / "on_pyodide.mjs", Path(get_package_web_dir()) / "pyodide",
         HERE / "browser_side.py", work, Path(pocketpump.__file__).parents[1],
         sysconfig.get_path("purelib")],
        capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    return entries, work, json.loads((work / "told.json").read_text("utf-8"))


def test_what_the_desktop_locked_opens_in_the_browser(exchanged):
    entries, _, told = exchanged
    assert told["platform"] == "emscripten"
    assert told["cipher"] == "BrowserCipher"
    assert told["entries"] == [to_document(entry) for entry in entries]


def test_no_depth_ends_the_browsers_python(exchanged):
    told = exchanged[2]["deep"]
    assert len(told) == 6
    assert all(ids == ["pump"] for ids in told.values())


def test_what_the_browser_locked_opens_on_the_desktop(exchanged):
    entries, work, _ = exchanged
    data = (work / "from-browser.json").read_bytes()
    assert asyncio.run(open_backup(data, PASSPHRASE, DesktopCipher())).entries == entries
    assert b"stiffness" not in data
    with pytest.raises(NotOpenedError):
        asyncio.run(open_backup(data, PASSPHRASE + " ", DesktopCipher()))


def test_the_browser_tells_a_wrong_passphrase_in_the_same_words(exchanged):
    assert exchanged[2]["wrong"] == str(NotOpenedError())


def test_the_browser_uses_its_own_randomness_and_never_loads_the_desktop_side(exchanged):
    told = exchanged[2]
    assert len(set(told["randoms"])) == 3
    assert not told["desktop_cipher_loaded"]


def test_the_desktop_never_loads_the_browser_side():
    code = (
        "import sys; import pocketpump.exchange.backup.encrypted as l;"
        "from pocketpump.exchange.backup.cipher import platform_cipher; platform_cipher();"
        "print('pocketpump.exchange.backup.cipher_browser' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
