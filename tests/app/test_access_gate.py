"""Who gets past the gate of the local server, tried on the real server."""

import http.client
import os
import re
import socket
import subprocess
import sys
import time
from base64 import b64encode
from hashlib import sha256
from urllib.parse import urlsplit

import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from pocketpump.app.server.access_gate import Keys

APP = """
import sys
from pocketpump.app.server import serve as server
server._open = lambda address: print(address, flush=True)
server.serve(lambda page: None, port=0)
"""


@pytest.fixture(scope="module")
def site():
    process = subprocess.Popen(
        [sys.executable, "-c", APP], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    printed = re.search(r"http://\S+", process.stdout.readline())[0]
    opened = process.stdout.readline().strip()
    port = urlsplit(printed).port
    for _ in range(200):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                break
        time.sleep(0.05)
    yield port, printed, opened
    process.terminate()
    process.communicate(timeout=10)


def ask(port, path="/", method="GET", **headers):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    connection.putrequest(method, path, skip_host="Host" in headers)
    for name, value in headers.items():
        connection.putheader(name, value)
    connection.endheaders()
    answer = connection.getresponse()
    return answer, answer.read()


def cookie_of(site):
    port, printed, _ = site
    answer, _ = ask(port, "/?" + urlsplit(printed).query)
    assert answer.status == 303
    assert answer.getheader("location") == "/"
    return answer.getheader("set-cookie")


def test_the_printed_address_is_swapped_for_a_cookie_that_no_script_or_other_site_gets(site):
    cookie = cookie_of(site)
    assert {"HttpOnly", "SameSite=Strict", "Path=/"} <= {part.strip() for part in cookie.split(";")}
    assert urlsplit(site[1]).query.removeprefix("key=") not in cookie
    answer, body = ask(site[0], Cookie=cookie.split(";")[0])
    assert answer.status == 200
    assert b"<html" in body


def test_other_programs_of_this_machine_are_refused_without_the_key(site):
    port = site[0]
    name, value = cookie_of(site).split(";")[0].split("=", 1)
    wrong = f"{name}={'A' * len(value)}"
    for path in ("/", "/main.dart.js", "/?key=", "/?key=guess", "/ws", "/assets/FontManifest.json"):
        for headers in ({}, {"Cookie": wrong}, {"Cookie": f"{name}="}, {"Cookie": "=;;a"}):
            answer, body = ask(port, path, **headers)
            assert answer.status == 403, path
            assert b"flutter" not in body.lower()


def test_odd_cookies_of_other_programs_do_not_lock_the_person_out(site):
    ours = cookie_of(site).split(";")[0]
    answer, _ = ask(site[0], Cookie=f'weird[]="{{,; {ours}; x')
    assert answer.status == 200


def test_the_address_the_browser_is_started_with_opens_once(site):
    port, printed, opened = site
    assert opened != printed
    path = "/?" + urlsplit(opened).query
    first, _ = ask(port, path)
    assert first.status == 303
    theirs = first.getheader("set-cookie").split(";")[0]
    good = f"http://127.0.0.1:{port}"
    # The same browser may ask again: it holds the cookie.
    assert ask(port, path, Cookie=theirs)[0].status == 303
    assert ask(port, Cookie=theirs)[0].status == 200
    ours = cookie_of(site).split(";")[0]

    def tab(cookie):
        address = f"ws://127.0.0.1:{port}/ws"
        return connect(address, origin=good, additional_headers={"Cookie": cookie})

    with tab(theirs) as taken, tab(ours) as kept:
        # One without the cookie comes late: who came first was somebody else, and is put out.
        assert ask(port, path)[0].status == 403
        assert ask(port, Cookie=theirs)[0].status == 403
        with pytest.raises(ConnectionClosed):
            taken.recv(timeout=10)
        kept.ping().wait(5)
    assert ask(port, "/?" + urlsplit(printed).query)[0].status == 303
    assert ask(port, Cookie=ours)[0].status == 200


def test_the_web_frameworks_own_pages_are_not_there(site):
    ours = cookie_of(site).split(";")[0]
    for path in ("/docs", "/redoc", "/openapi.json", "/docs/oauth2-redirect"):
        _, body = ask(site[0], path, Cookie=ours)
        assert b"swagger" not in body.lower()
        assert b"openapi" not in body.lower()
        assert b"redoc" not in body.lower()


def test_a_foreign_name_or_page_is_refused_even_with_the_cookie(site):
    port = site[0]
    ours = cookie_of(site).split(";")[0]
    for host in ("evil.example", f"evil.example:{port}", "127.0.0.1", f"127.0.0.1.nip.io:{port}",
                 f"[::1]:{port}", ""):  # fmt: skip
        assert ask(port, Cookie=ours, Host=host)[0].status == 403, host
    own = f"127.0.0.1:{port}"
    foreign = ("http://evil.example", "null", f"https://{own}", f"http://{own}.evil.example")
    for origin in (*foreign, f"http://127.0.0.1:{port + 1}"):
        assert ask(port, Cookie=ours, Origin=origin)[0].status == 403, origin
    assert ask(port, Cookie=ours, Origin=f"http://127.0.0.1:{port}")[0].status == 200
    assert ask(port, Cookie=ours, Host=f"localhost:{port}")[0].status == 200


def test_a_websocket_opens_only_for_our_own_page_with_the_cookie(site):
    port = site[0]
    ours = cookie_of(site).split(";")[0]
    good = f"http://127.0.0.1:{port}"
    tries = [("http://evil.example", ours), ("null", ours), (None, ours), (good, None),
             (good, ours[:-1] + "_")]  # fmt: skip
    for origin, cookie in tries:
        headers = {"Cookie": cookie} if cookie else {}
        with (
            pytest.raises((InvalidStatus, ConnectionClosed)),
            connect(f"ws://127.0.0.1:{port}/ws", origin=origin, additional_headers=headers) as ws,
        ):
            ws.recv(timeout=5)
    with connect(f"ws://127.0.0.1:{port}/ws", origin=good, additional_headers={"Cookie": ours}):
        pass


@pytest.mark.parametrize(
    "path",
    [
        "/../../../../etc/passwd",
        "/..%2f..%2f..%2f..%2fetc/passwd",
        "/%2e%2e/%2e%2e/%2e%2e/etc/passwd",
        "/assets/../../../../etc/passwd",
        "/..\\..\\..\\etc\\passwd",
        "//etc/passwd",
        "/assets/%00",
        "/./.././index.html/../../etc/passwd",
    ],
)
def test_no_path_leads_out_of_the_apps_own_files(site, path):
    ours = cookie_of(site).split(";")[0]
    answer, body = ask(site[0], path, Cookie=ours)
    assert b"root:" not in body
    assert answer.status in (200, 400, 404)
    if answer.status == 200:  # an unknown path is the app's own page
        assert b"PocketPump" in body


def test_no_folder_is_listed_and_no_method_writes(site):
    ours = cookie_of(site).split(";")[0]
    for path in ("/assets/", "/canvaskit/", "/icons/"):
        _, body = ask(site[0], path, Cookie=ours)
        assert b"Index of" not in body
        assert b"canvaskit.wasm" not in body
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
        assert ask(site[0], "/", method, Cookie=ours)[0].status in (404, 405)


def test_every_answer_carries_the_headers_and_names_no_server(site):
    ours = cookie_of(site).split(";")[0]
    for cookie in (ours, "none=1"):
        answer, _ = ask(site[0], Cookie=cookie)
        rules = answer.getheader("content-security-policy")
        assert "unsafe-inline" not in rules
        assert "'unsafe-eval'" not in rules
        for rule in ("default-src 'self'", "object-src 'none'", "base-uri 'self'",
                     "form-action 'none'", "frame-ancestors 'none'"):  # fmt: skip
            assert rule in rules.split("; ")
        # The page of another start has other secrets: none may come out of a cache unasked.
        assert answer.getheader("cache-control") in ("no-cache", "no-store")
        assert answer.getheader("x-content-type-options") == "nosniff"
        assert answer.getheader("x-frame-options") == "DENY"
        assert answer.getheader("referrer-policy") == "no-referrer"
        assert answer.getheader("cross-origin-resource-policy") == "same-origin"
        assert answer.getheader("server") is None
        assert answer.getheader("access-control-allow-origin") is None


def test_of_the_scripts_in_a_page_only_its_own_may_run(site):
    answer, body = ask(site[0], Cookie=cookie_of(site).split(";")[0])
    rules = dict(
        part.strip().split(" ", 1)
        for part in answer.getheader("content-security-policy").split(";")
    )
    own = re.findall(rb"<script(?:>| (?!src)[^>]*>)(.*?)</script>", body, re.DOTALL)
    hashes = {f"'sha256-{b64encode(sha256(one).digest()).decode()}'" for one in own}
    assert hashes
    assert set(rules["script-src"].split()) == {"'self'", "'wasm-unsafe-eval'", *hashes}
    told = [rules[name] for name in ("object-src", "base-uri", "form-action", "frame-ancestors")]
    assert told == ["'none'", "'self'", "'none'", "'none'"]


def test_a_page_loaded_again_comes_whole_with_the_rules_for_its_scripts(site):
    ours = cookie_of(site).split(";")[0]
    first, body = ask(site[0], Cookie=ours)
    known = {"If-None-Match": first.getheader("etag") or "*",
             "If-Modified-Since": first.getheader("last-modified") or ""}  # fmt: skip
    for odd in (known, {"Range": "bytes=0-9"}):
        again, same = ask(site[0], Cookie=ours, **odd)
        assert (again.status, same) == (200, body)
        rules = again.getheader("content-security-policy")
        assert rules == first.getheader("content-security-policy")
        assert "'sha256-" in rules


def test_it_listens_on_this_machine_only(site):
    others = [info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None)]
    for address in {one for one in others if not one.startswith(("127.", "::1"))}:
        family = socket.AF_INET6 if ":" in address else socket.AF_INET
        with socket.socket(family) as probe:
            probe.settimeout(2)
            assert probe.connect_ex((address, site[0])) != 0


def test_every_start_has_keys_of_its_own():
    keys = [Keys() for _ in range(50)]
    secrets = {one for k in keys for one in (k.printed, k.once, k.session, k.session_once)}
    assert len(secrets) == 200
    assert not keys[0].knows(keys[0].session_once)  # nobody was let in with it yet
    # 24 bytes and more: beyond any guessing.
    assert min(len(k.printed) for k in keys) >= 32
    assert not keys[0].opens("")
    assert not keys[0].knows("")
