"""What ``pocketpump web --check`` says of hosts that are wrong, slow, foreign or hostile."""

from __future__ import annotations

import gzip
import hashlib
import http.server
import json
import shutil
import socket
import ssl
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hosts import RELEASE, fake_build
from phone_driving import free_port

from pocketpump.cli import main
from pocketpump.web.hosting import fetch, rules
from pocketpump.web.hosting.address import parse_address
from pocketpump.web.hosting.certificate import https_context
from pocketpump.web.hosting.fetch import Limits
from pocketpump.web.hosting.findings import Finding, findings
from pocketpump.web.hosting.listed import files_listed, page_says
from pocketpump.web.hosting.visit import visit
from pocketpump.web.serve import Handler, make_server

QUICK = Limits(connect_seconds=5, silent_seconds=0.6, file_seconds=1.5, file_bytes=100_000)
BASE = "/pump/"


class Wrong(Handler):
    """A good host but for what a test changes: the answer's status, headers, and body."""

    change: Callable[[str, int, dict[str, str], bytes], tuple[int, dict[str, str], bytes]]

    def do_GET(self) -> None:  # noqa: N802
        path = self.path.removeprefix(self.base) if self.path != self.base else "index.html"
        file = self.folder / path
        there = self.path.startswith(self.base) and file.is_file()
        body = file.read_bytes() if there else b""
        headers = {"Content-Type": rules.type_to_send(path), "Cache-Control": rules.caching(path)}
        headers |= dict(self.headers_to_add)
        if rules.is_compressed(path):
            headers["Content-Encoding"] = "gzip"
            body = gzip.compress(body, 1)
        status = 200 if there else 404
        if not there:
            headers, body = {}, b""
        if self.path + "/" == self.base:
            status, headers = 301, {"Location": self.base}
        asked = "" if self.path == self.base else path
        status, headers, body = type(self).change(asked, status, headers, body)
        self.send_response(status)
        for name, value in headers.items():
            self.send_header(name, value)
        if "Content-Length" not in headers:
            self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)


@pytest.fixture(scope="module")
def build(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("build")
    fake_build(folder, BASE)
    return folder


@pytest.fixture
def serving() -> Iterator[Callable[..., str]]:
    """Serves with a handler: ``serving(handler, base)`` gives the address."""
    servers: list[http.server.ThreadingHTTPServer] = []

    def start(server: http.server.ThreadingHTTPServer, base: str = BASE) -> str:
        server.daemon_threads = True
        threading.Thread(target=server.serve_forever, daemon=True).start()
        servers.append(server)
        return f"http://127.0.0.1:{server.server_address[1]}{base}"

    yield start
    for server in servers:
        server.shutdown()
        server.server_close()


@pytest.fixture
def told(build: Path, serving) -> Callable[..., dict[str, Finding]]:
    """What is found wrong on a host that differs by ``change``, by what it is about."""
    says = page_says((build / "index.html").read_bytes())

    def find(change: Callable, base: str = BASE) -> dict[str, Finding]:
        about = {"folder": build, "base": base, "change": staticmethod(change),
                 "headers_to_add": rules.security(says.policy)}  # fmt: skip
        server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), type("H", (Wrong,), about))
        address = parse_address(serving(server, base))
        found = findings(visit(address, QUICK, ssl.create_default_context()))
        return {finding.about: finding for finding in found if not finding.right}

    return find


def same(path, status, headers, body):
    return status, headers, body


def test_a_good_host_is_told_nothing_wrong(told):
    assert told(same) == {}


def with_header(name: str, value: str, which: Callable[[str], bool] = lambda path: True):
    def change(path, status, headers, body):
        if status == 200 and which(path):
            headers = {**headers, name: value}
        return status, headers, body

    return change


def without(name: str):
    def change(path, status, headers, body):
        return status, {key: value for key, value in headers.items() if key != name}, body

    return change


@pytest.mark.parametrize("ending", [of for of in rules.TYPES if of not in ("", ".bin", ".frag")])
def test_each_wrong_type_is_told_with_its_files(told, ending):
    wrong = told(with_header("Content-Type", "text/plain", lambda path: path.endswith(ending)))
    assert wrong.keys() == {"types"}
    assert "sent as text/plain instead of" in wrong["types"].text
    paths = [path or "index.html" for path in wrong["types"].paths]
    assert paths
    assert {rules.ending(path) for path in paths} == {ending}
    assert wrong["types"].breaks == (ending in rules.NEEDED)


@pytest.mark.parametrize(
    ("change", "about", "said"),
    [
        (with_header("Cache-Control", "no-store", rules.never_changes), "caching-release",
         "no-store instead of public, max-age=31536000, immutable"),
        (with_header("Cache-Control", "no-store", lambda path: path == "sw.js"), "caching-fixed",
         "sw.js: Cache-Control is no-store instead of no-cache"),
        (with_header("Cache-Control", "max-age=600", lambda path: "icon" in path), "caching-fixed",
         "max-age=600"),
        (with_header("Content-Security-Policy", "default-src 'self'"), "policy",
         "is not this build's, in"),
        (without("Content-Security-Policy"), "policy", "sent without Content-Security-Policy"),
        (without("X-Content-Type-Options"), "x-content-type-options", "without X-Content-Type"),
        (with_header("Referrer-Policy", "unsafe-url"), "referrer-policy", "sent without Referrer"),
    ],
)  # fmt: skip
def test_a_wrong_header_is_told_in_its_own_line(told, change, about, said):
    wrong = told(change)
    assert wrong.keys() == {about}
    assert said in wrong[about].text


def test_the_policy_of_this_very_page_is_right_too_and_that_of_another_build_is_not(told, build):
    page = page_says((build / "index.html").read_bytes()).policy
    exact = f"{page}; frame-ancestors 'none'"
    assert told(with_header("Content-Security-Policy", exact)) == {}
    stale = exact.replace("sha256-", "sha256-A", 1)
    wrong = told(with_header("Content-Security-Policy", stale))
    assert wrong["policy"].breaks
    assert "is not this build's, in script-src" in wrong["policy"].text


def test_a_host_that_answers_unknown_names_with_the_page_is_told(told, build):
    page = (build / "index.html").read_bytes()

    def change(path, status, headers, body):
        return (200, {"Content-Type": "text/html"}, page) if status == 404 else same(
            path, status, headers, body)  # fmt: skip

    wrong = told(change)
    assert wrong.keys() == {"unknown"}
    assert "answers 200 instead of 404" in wrong["unknown"].text


def test_a_404_that_may_be_kept_for_ever_is_told(told):
    def change(path, status, headers, body):
        return (
            status,
            {**headers, "Cache-Control": rules.FOR_EVER} if status == 404 else headers,
            (body),
        )

    assert "keep for ever" in told(change)["unknown"].text


def test_a_file_that_is_another_one_or_missing_is_told_by_its_name(told):
    def change(path, status, headers, body):
        if path.endswith("worker.js"):
            return status, headers, gzip.compress(b"other")
        return (404, {}, b"") if path.endswith("tz.zip") or "Japanese" in path else same(
            path, status, headers, body)  # fmt: skip

    wrong = told(change)["files"]
    assert f"{RELEASE}/worker.js: is another file than sw.js lists" in wrong.text
    assert f"{RELEASE}/fonts/Japanese.ttf: answers 404" in wrong.text
    assert len(wrong.paths) == 2


def test_a_page_led_elsewhere_under_its_own_name_is_told(told):
    def change(path, status, headers, body):
        away = path == "index.html"
        return (308, {"Location": BASE}, b"") if away else same(path, status, headers, body)

    wrong = told(change)
    assert wrong.keys() == {"files"}
    assert "index.html: is led elsewhere" in wrong["files"].text


def test_an_archive_that_browsers_would_unpack_is_told(told, build):
    # As a host does that knows what .gz is: the file as it is, and the header beside it.
    real = build / RELEASE / "python" / "snapshot.bin.gz"
    kept, packed = real.read_bytes(), gzip.compress(b"snapshot")
    listed = (build / "sw.js").read_text()
    real.write_bytes(packed)
    renewed = listed.replace(hashlib.sha256(kept).hexdigest(), hashlib.sha256(packed).hexdigest())
    (build / "sw.js").write_text(renewed)
    try:
        wrong = told(with_header("Content-Encoding", "gzip", lambda path: path.endswith(".gz")))
    finally:
        real.write_bytes(kept)
        (build / "sw.js").write_text(listed)
    assert wrong.keys() == {"files"}
    assert "is sent with Content-Encoding" in wrong["files"].text


def test_what_comes_uncompressed_is_told_with_its_size(told):
    def change(path, status, headers, body):
        if path.endswith(".wasm"):
            headers = {k: v for k, v in headers.items() if k != "Content-Encoding"}
            body = gzip.decompress(body)
        return status, headers, body

    wrong = told(change)
    assert wrong.keys() == {"compression"}
    assert len(wrong["compression"].paths) == 3
    assert "MB come uncompressed" in wrong["compression"].text


def test_the_address_without_its_slash_must_lead_to_the_app(told):
    def nowhere(path, status, headers, body):
        return (404, {}, b"") if status == 301 else same(path, status, headers, body)

    def elsewhere(path, status, headers, body):
        there = {"Location": "https://other.example/pump/"}
        return (status, there, b"") if status == 301 else same(path, status, headers, body)

    assert "answers 404 instead of leading to" in told(nowhere)["slash"].text
    assert "leads to another host or port" in told(elsewhere)["slash"].text


def test_a_build_for_another_path_is_told(told, build, tmp_path):
    wrong = told(same, "/")
    assert wrong.keys() == {"base"}
    assert "built for /pump/ and is served at /" in wrong["base"].text


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        ((200, {"Content-Type": "text/html"}, b"<title>Hello</title>"), "page there is another"),
        ((404, {}, b""), "it answers 404"),
        ((302, {"Location": "http://10.0.0.1/admin"}, b""), "leads on to http://10.0.0.1/admin"),
        ((200, {"Content-Encoding": "gzip"}, b"no gzip"), "broke off"),
        ((200, {"Content-Encoding": "br"}, b"x"), "packing nobody asked for"),
        ((200, {"Content-Length": "99"}, b"x"), "broke off"),
    ],
)  # fmt: skip
def test_where_there_is_no_pocketpump_one_sentence_says_so(told, answer, said):
    wrong = told(lambda *_: answer)
    assert wrong.keys() == {"pocketpump"}
    assert said in wrong["pocketpump"].text


def test_an_answer_that_grows_without_end_when_unpacked_is_given_up(told):
    bomb = gzip.compress(bytes(30_000_000))
    wrong = told(lambda *_: (200, {"Content-Encoding": "gzip"}, bomb))
    assert "is larger than any file of the app" in wrong["pocketpump"].text


def test_a_list_of_foreign_names_is_not_followed():
    def listed(rows: object) -> bytes:
        return f"const RELEASE = {json.dumps({'files': rows})};".encode()

    digest = "0" * 64
    assert files_listed(listed([["a/b.js", digest, False]]))
    for path in ("../x", "/x", "//evil.example/x", "a\r\nX: y", "a b", "", "a/../b", "x" * 300):
        assert files_listed(listed([[path, digest, False]])) is None
    assert files_listed(listed([["a", digest, False]] * 500)) is None
    assert files_listed(b"const RELEASE = " + b'{"a":' * 100_000) is None


class Dripping(threading.Thread):
    """A host that sends one letter of its answer at a time, for ever."""

    def __init__(self, start: bytes) -> None:
        super().__init__(daemon=True)
        self.first = start
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.port = self.listening.getsockname()[1]
        self.start()

    def run(self) -> None:
        taken, _ = self.listening.accept()
        with taken:
            try:
                taken.sendall(self.first)
                while True:
                    taken.sendall(b"a")
                    time.sleep(0.1)
            except OSError:
                return


@pytest.mark.parametrize("start", [b"", b"HTTP/1.1 200 OK\r\nX-A: ", b"HTTP/1.1 200 OK\r\n\r\n"])
def test_an_answer_that_comes_letter_by_letter_is_given_up_in_time(start):
    drip = Dripping(start)
    address = parse_address(f"http://127.0.0.1:{drip.port}/")
    answer = fetch.fetch(address, "/", QUICK, ssl.create_default_context())
    assert answer.trouble == "did not come in time"
    drip.listening.close()


def test_after_three_files_that_do_not_come_the_rest_is_not_asked_for(told):
    asked = []

    def change(path, status, headers, body):
        asked.append(path)
        if path.startswith(RELEASE) and status == 200:
            return status, {**headers, "Content-Length": "999999"}, b"x"
        return status, headers, body

    wrong = told(change)["files"]
    assert "broke off" in wrong.text
    assert "was not asked for any more" in wrong.text
    assert len({path for path in asked if path.startswith(f"{RELEASE}/") and "." in path}) <= 4


def test_pythons_own_file_server_is_told_what_it_lacks(build, tmp_path, capsys):
    shutil.copytree(build, tmp_path / "pump")
    port = free_port()
    server = subprocess.Popen(
        [sys.executable, "-m", "http.server", str(port), "--bind", "127.0.0.1"],
        cwd=tmp_path, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        for _ in range(100):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        assert main(["web", "--check", f"http://127.0.0.1:{port}/pump/", "--json"]) == 1
    finally:
        server.kill()
        server.wait(10)
    told = json.loads(capsys.readouterr().out)
    wrong = {finding["about"] for finding in told["findings"] if not finding["right"]}
    assert {"caching-fixed", "caching-release", "compression", "policy"} <= wrong
    assert {"x-content-type-options", "referrer-policy"} <= wrong
    assert not wrong & {"https", "pocketpump", "base", "slash", "files", "unknown"}
    assert told["right"] is False
    assert all(finding["change"] for finding in told["findings"] if not finding["right"])


def test_our_own_server_is_right_and_says_so(build, serving, capsys):
    assert main(["web", "--check", serving(make_server(build, base=BASE))]) == 0
    said = capsys.readouterr().out
    assert said.endswith("Everything is right.\n")
    assert "The first visit takes" in said


def test_over_https_with_a_certificate_of_our_own_it_says_who_does_not_trust_it(
    build, serving, capsys
):
    context, digest = https_context("127.0.0.1")
    server = make_server(build, base=BASE, context=context)
    url = serving(server).replace("http:", "https:")
    assert main(["web", "--check", url]) == 1
    assert "The certificate of the host is not trusted" in capsys.readouterr().out
    assert len(digest.split(":")) == 32
    unchecking = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    unchecking.check_hostname = False
    unchecking.verify_mode = ssl.CERT_NONE
    found = findings(visit(parse_address(url), Limits(), unchecking))
    assert [finding for finding in found if not finding.right] == []


def test_a_connection_that_says_nothing_holds_up_no_other(build, serving):
    context, _ = https_context("127.0.0.1")
    server = make_server(build, base=BASE, context=context)
    url = serving(server).replace("http:", "https:")
    unchecking = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    unchecking.check_hostname = False
    unchecking.verify_mode = ssl.CERT_NONE
    with socket.create_connection(("127.0.0.1", server.server_port)):
        answer = fetch.fetch(parse_address(url), BASE, Limits(), unchecking)
    assert answer.status == 200


@pytest.mark.parametrize(
    "url",
    ["", "example.org", "ftp://example.org/", "http://", "http://a:b@example.org/", "file:///etc/",
     "http://example.org:99999/", "http://example.org/?a=b", "http://example.org/a b/",
     "http://exa mple.org/", "http://[::1/", "http://example.org/a/../b/", "http://example.org:0/",
     "http://example.org/\r\nX: y/"],
)  # fmt: skip
def test_a_bad_address_is_one_sentence_and_status_2(url, capsys):
    assert main(["web", "--check", url]) == 2
    said = capsys.readouterr().err
    assert "is not an address to check" in said
    assert said.count("\n") == 1


def test_an_address_where_nobody_answers_is_one_sentence_and_status_2(capsys):
    assert main(["web", "--check", f"http://127.0.0.1:{free_port()}/"]) == 2
    assert "Nobody answers at" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "base"),
    [("http://localhost:8080", "/"), ("HTTPS://Example.org/pump", "/pump/"),
     ("https://example.org/pump/index.html#/today", "/pump/"), ("http://[::1]:80/", "/")],
)  # fmt: skip
def test_an_address_may_be_typed_as_it_is_seen(text, base):
    assert parse_address(text).base == base


def test_an_address_that_is_not_https_is_told(build):
    address = parse_address("http://pump.example.org/")
    assert not address.is_private
    assert parse_address("http://127.0.0.1/").is_private
    assert parse_address("https://pump.example.org/").is_private
