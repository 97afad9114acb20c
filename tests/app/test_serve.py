import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager

import pytest

from pocketpump.app.server import index_page
from pocketpump.app.server.serve import _bound

APP = """
import sys
from pocketpump.app.server.serve import serve
serve(lambda page: None, port=int(sys.argv[1]), announce=lambda text: print(text, flush=True))
"""


@contextmanager
def running(port):
    env = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    process = subprocess.Popen(
        [sys.executable, "-c", APP, str(port)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=env,
    )
    try:
        line = process.stdout.readline()
        address = line.split("127.0.0.1:")[1].split()[0]
        yield process, int(address.split("/")[0]), "/" + address.split("/")[1]
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate()


def free_port():
    with socket.socket() as sock:
        sock.bind(("127.0.0.1", 0))
        return sock.getsockname()[1]


def ask(port, path="/", **headers):
    for _ in range(100):
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
        try:
            connection.request("GET", path, headers=headers)
            return connection.getresponse()
        except ConnectionRefusedError:
            time.sleep(0.05)
    raise AssertionError("the server never answered")


def test_a_busy_port_gives_way_to_a_free_one():
    with socket.socket() as busy:
        busy.bind(("127.0.0.1", 0))
        busy.listen()
        port = busy.getsockname()[1]
        with _bound(port) as sock:
            host, taken = sock.getsockname()
            assert host == "127.0.0.1"
            assert taken != port


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such signals")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_it_cleanly(number):
    with running(free_port()) as (process, port, path):
        assert ask(port, path).status == 303
        process.send_signal(number)
        _, errors = process.communicate(timeout=10)
        assert process.returncode == 0
        assert errors == ""


def test_the_page_is_ours(tmp_path):
    index_page.put_page(tmp_path)
    page = (tmp_path / "index.html").read_text()
    assert '<html lang="en">' in page
    assert "flt-semantics-placeholder" in page
    assert "loading-animation" not in page
    assert "<!-- fletAppConfig -->" in page


def test_every_start_marks_its_styles_with_a_secret_of_its_own(tmp_path):
    one, other = index_page.put_page(tmp_path), index_page.put_page(tmp_path)
    assert one != other
    start = (tmp_path / "flutter_bootstrap.js").read_text()
    assert start.count(other) == 1
    assert one not in start
