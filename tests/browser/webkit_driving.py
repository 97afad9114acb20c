"""A hand in WebKit's engine, finding things by the tree of names alone."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import time
from pathlib import Path

from driving import PHONE, WORDS

WINDOW = Path(__file__).with_name("webkit_window.py")
SYSTEM_PYTHON = "/usr/bin/python3"
WAIT_S = 90

_FIND = """const names = [...document.querySelectorAll('flt-semantics-host ' + what)].filter((e) =>
  (e.getAttribute('aria-label') || e.textContent || '').trim().replace(/^chosen\\s+/, '')
    .startsWith(name));
if (!names.length) return false;"""


def webkit_missing() -> str:
    """Return why there is no WebKit to drive here; "" if there is one."""
    if shutil.which("xvfb-run") is None:
        return "xvfb-run is not installed"
    probe = "import gi; gi.require_version('WebKit2', '4.1'); from gi.repository import WebKit2"
    done = subprocess.run([SYSTEM_PYTHON, "-c", probe], capture_output=True, check=False)
    return "" if done.returncode == 0 else "WebKitGTK for Python (gir1.2-webkit2-4.1) is missing"


class WebKit:
    """A running window; ``profile`` keeps what its pages store."""

    def __init__(self, profile: Path, size: tuple[int, int] = PHONE) -> None:
        width, height = (str(side) for side in size)
        environment = {
            **os.environ,
            "LANG": "C.UTF-8",
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1",
        }
        self._process = subprocess.Popen(
            ["xvfb-run", "-a", "-s", f"-screen 0 {width}x{height}x24",
             SYSTEM_PYTHON, str(WINDOW), str(profile), width, height],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            text=True, env=environment,
        )  # fmt: skip

    def _ask(self, **order: str) -> object:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps(order) + "\n")
        self._process.stdin.flush()
        answer = json.loads(self._process.stdout.readline())
        assert "error" not in answer, answer
        return answer["value"]

    def run(self, script: str) -> object:
        """Return what ``script``, the body of an async function, returns."""
        return self._ask(run=script)

    def open(self, url: str) -> WebKit:
        """Load a page and ask for its tree of names."""
        self._ask(open=url)
        return self

    def words(self) -> str:
        """Everything a screen reader could say."""
        return str(self.run(
            "document.querySelector('flt-semantics-placeholder')?.click();"
            "const host = document.querySelector('flt-semantics-host');"
            f"return host ? ({WORDS})(host) : '';"
        ))  # fmt: skip

    def see(self, text: str) -> WebKit:
        """Wait until ``text`` is on the screen."""
        end = time.monotonic() + WAIT_S
        while text not in (words := self.words()):
            assert time.monotonic() < end, f"waited in vain for {text!r}; on the screen:\n{words}"
            time.sleep(0.3)
        return self

    def _do(self, what: str, name: str, act: str) -> None:
        end = time.monotonic() + WAIT_S
        given = f"const what = {json.dumps(what)}, name = {json.dumps(name)};"
        while not self.run(f"{given} {_FIND} {act} return true;"):
            assert time.monotonic() < end, f"no {name!r}; on the screen:\n{self.words()}"
            time.sleep(0.3)

    def tap(self, name: str) -> WebKit:
        """Tap the button ``name``, no sooner than the app allows."""
        time.sleep(1)
        self._do("[role=button]", name, "names[0].click();")
        time.sleep(0.5)
        return self

    def type_into(self, label: str, text: str) -> WebKit:
        """Replace what stands in the box ``label`` by ``text``."""
        self._do(":is(input, textarea)", label, "names[0].focus();")
        time.sleep(1)
        put = (
            f"const box = names[0]; box.value = {json.dumps(text)};"
            "box.setSelectionRange(box.value.length, box.value.length);"
            "box.dispatchEvent(new InputEvent('input', {bubbles: true}));"
        )
        self._do(":is(input, textarea)", label, put)
        time.sleep(0.7)
        return self

    def close(self) -> None:
        """Close the window, as when the phone goes on to something else."""
        assert self._process.stdin is not None
        self._process.stdin.close()
        self._process.wait(20)
