"""A small build, and real servers for it: nginx, Caddy and Apache with the settings we write."""

from __future__ import annotations

import hashlib
import os
import shutil
import socket
import subprocess
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec
from phone_driving import free_port

from pocketpump.web import page
from pocketpump.web.build import Report
from pocketpump.web.hosting import beside
from pocketpump.web.hosting.certificate import certificate

RELEASE = "r-0123456789ab"
#: One file of each kind that a build has, large enough to be worth compressing.
INNER = (
    "main.dart.js", "worker.js", "version.json", "assets/NOTICES", "assets/AssetManifest.bin",
    "assets/fonts/MaterialIcons-Regular.otf", "assets/fonts/roboto.woff2", "fonts/Japanese.ttf",
    "assets/shaders/ink_sparkle.frag", "canvaskit/canvaskit.wasm", "python/site.zip",
    "canvaskit/chromium/canvaskit.wasm", "pyodide/pyodide.mjs", "pyodide/pyodide.asm.mjs",
    "pyodide/pyodide.asm.wasm", "python/snapshot.bin.gz", "python/stdlib.zip",
)  # fmt: skip
UNPRIVILEGED = "www-data"


def fake_build(out: Path, base: str) -> Report:
    """Write what looks like a build to every file server, and to the phone too."""
    config = {"base": base, "release": f"{base}{RELEASE}/", "folder": "f", "glanceFile": "g"}
    text, _ = page.index_html(config, {})
    files = {"index.html": text.encode(), "manifest.webmanifest": b'{"name":"P"}'}
    files |= {f"icons/{name}.png": b"\x89PNG" + os.urandom(900) for name in ("favicon", "icon-192")}
    for name in INNER:
        body = f"{name} is here. ".encode() * 900
        # What ends in .gz is packed: noise stands for it, which must come as it is.
        packed = name.endswith((".gz", ".woff2"))
        files[f"{RELEASE}/{name}"] = b"\x1f\x8b\x08" + os.urandom(9000) if packed else body
    rows = [
        [name, hashlib.sha256(data).hexdigest(), name.endswith("NOTICES")]
        for name, data in files.items()
    ]
    files["sw.js"] = page.service_worker({"id": "1", "files": rows}).encode()
    for name, data in files.items():
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_bytes(data)
    return Report(RELEASE, {name: len(data) for name, data in files.items()})


def program(name: str) -> str | None:
    """Return where a server is; Debian keeps some where only the administrator looks."""
    return shutil.which(name, path=f"{os.environ.get('PATH', '')}:/usr/sbin")


class Host:
    """One of the servers, without any rights, with the settings beside a build to the letter."""

    def __init__(self, name: str, build: Path, report: Report, base: str, *, https: bool) -> None:
        # Not the test's own folder: as the administrator's it would be closed to the server.
        self.room = Path(tempfile.mkdtemp(prefix="pocketpump-host-"))
        self.folder = self.room / "site"
        shutil.copytree(build, self.folder)
        self.settings = self.room / "settings"
        place = beside.place_of(self.folder, report, str(self.folder))
        beside.write(self.settings, place, self.folder)
        self.port = free_port()
        self.url = f"{'https' if https else 'http'}://localhost:{self.port}{base}"
        self.https = https
        if https:
            self._make_certificate()
        command = {"nginx": self._nginx, "caddy": self._caddy, "apache2": self._apache}[name]()
        self._log = (self.room / "log").open("wb")
        root = os.geteuid() == 0
        if root:
            for path in (self.room, *self.room.rglob("*")):
                shutil.chown(path, UNPRIVILEGED, UNPRIVILEGED)
        rights = {"user": UNPRIVILEGED, "group": UNPRIVILEGED, "extra_groups": []} if root else {}
        environment = {"PATH": os.environ["PATH"], "HOME": str(self.room)}
        self._process = subprocess.Popen(
            command, stdout=self._log, stderr=self._log, env=environment, cwd=self.room, **rights
        )
        self._wait(name)

    def _wait(self, name: str) -> None:
        end = time.monotonic() + 30
        while time.monotonic() < end and self._process.poll() is None:
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.05)
        said = (self.room / "log").read_text()
        self.stop()
        raise AssertionError(f"{name} did not start: {said}")

    def _make_certificate(self) -> None:
        key = ec.generate_private_key(ec.SECP256R1())
        made = certificate("localhost", key, datetime.now(UTC))
        pem = serialization.Encoding.PEM
        (self.room / "cert.pem").write_bytes(made.public_bytes(pem))
        private = serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        (self.room / "key.pem").write_bytes(key.private_bytes(pem, *private))

    def _write(self, name: str, text: str) -> Path:
        path = self.room / name
        path.write_text(text)
        return path

    def _nginx(self) -> list[str]:
        room = self.room
        tls = f"ssl_certificate {room}/cert.pem; ssl_certificate_key {room}/key.pem;"
        temporary = "".join(
            f"{kind}_temp_path {room}/{kind};"
            for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
        )
        config = self._write(
            "main.conf",
            f"""daemon off; worker_processes 1; pid {room}/pid; error_log stderr;
events {{ }}
http {{
    access_log off; {temporary}
    include /etc/nginx/mime.types;
    default_type application/octet-stream;
    server {{
        listen 127.0.0.1:{self.port}{" ssl" if self.https else ""};
        {tls if self.https else ""}
        include {self.settings}/nginx.conf;
    }}
}}
""",
        )
        return [str(program("nginx")), "-e", "stderr", "-c", str(config)]

    def _caddy(self) -> list[str]:
        site = self.url.split("/", 3)
        tls = f"tls {self.room}/cert.pem {self.room}/key.pem" if self.https else ""
        config = self._write(
            "Caddyfile",
            f"""{{
    admin off
    auto_https off
}}
{site[0]}//{site[2]} {{
    bind 127.0.0.1
    {tls}
    import {self.settings}/pocketpump.caddy
}}
""",
        )
        return [str(program("caddy")), "run", "--config", str(config), "--adapter", "caddyfile"]

    def _apache(self) -> list[str]:
        room = self.room
        names = ["mpm_event", "authz_core", "alias", "deflate", "dir", "filter", "headers", "mime"]
        names += ["setenvif", "autoindex", *(["socache_shmcb", "ssl"] if self.https else [])]
        loaded = "\n".join(
            f"LoadModule {name}_module /usr/lib/apache2/modules/mod_{name}.so" for name in names
        )
        tls = f"SSLEngine on\nSSLCertificateFile {room}/cert.pem\nSSLCertificateKeyFile"
        config = self._write(
            "apache-main.conf",
            f"""ServerRoot {room}
ServerName localhost
{loaded}
PidFile {room}/pid
Mutex file:{room} default
ErrorLog {room}/error.log
Listen 127.0.0.1:{self.port}
# As Debian has them: the second would hide the app's own icons at the root.
Include /etc/apache2/mods-available/mime.conf
Include /etc/apache2/mods-available/alias.conf
<Directory />
    Require all denied
</Directory>
<VirtualHost 127.0.0.1:{self.port}>
    {f"{tls} {room}/key.pem" if self.https else ""}
    Include {self.settings}/apache.conf
</VirtualHost>
""",
        )
        return [str(program("apache2")), "-D", "FOREGROUND", "-f", str(config)]

    def stop(self) -> None:
        self._process.terminate()
        try:
            self._process.wait(10)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(10)
        self._log.close()
        shutil.rmtree(self.room, ignore_errors=True)
