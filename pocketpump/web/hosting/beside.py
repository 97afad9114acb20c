"""Writes the hosts' settings and how to upload beside a build, in a folder of their own.

They are not in the build's folder, so that uploading it does not publish them.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

from pocketpump.web.errors import BuildError
from pocketpump.web.hosting.listed import page_says
from pocketpump.web.hosting.snippets import Place, apache, caddy, header_file, nginx

if TYPE_CHECKING:
    from pocketpump.web.build import Report

USUAL_FOLDER = "/srv/pocketpump"
UPLOAD = "UPLOAD.txt"
_OURS = "How to put this build of PocketPump on a host"
_NAMES = ("_headers", "apache.conf", "nginx.conf", "pocketpump.caddy", UPLOAD)
_FOLDER = re.compile(r"(?:/[A-Za-z0-9._~+ -]+)+")


def beside(out: Path) -> Path:
    """Return the folder of the settings for the build in ``out``."""
    whole = out.absolute().resolve()
    return whole.parent / f"{whole.name}-hosting"


def checked_folder(text: str) -> str:
    """Return ``text``, the folder on the host; raises :class:`BuildError` if it cannot be one."""
    folder = text.rstrip("/")
    if not _FOLDER.fullmatch(folder) or {"..", "."} & set(folder.split("/")):
        raise BuildError(
            f"The folder on the host must be a whole path, like {USUAL_FOLDER},"
            " of letters, digits, spaces and . _ ~ + - alone."
        )
    return folder


def check_replaceable(folder: Path) -> None:
    """Raise :class:`BuildError` if ``folder`` is there and anything but what was written here."""
    if not folder.exists():
        return
    names = {entry.name for entry in folder.iterdir()} if folder.is_dir() else {""}
    upload = folder / UPLOAD
    ours = upload.is_file() and upload.read_bytes().startswith(_OURS.encode())
    if names and not (ours and names <= set(_NAMES)):
        raise BuildError(
            f"{folder} is for the hosts' settings and holds other things:"
            " move them away, or name another folder to build into."
        )


def place_of(out: Path, report: Report, folder: str) -> Place:
    """Return where the build in ``out`` belongs, with ``folder`` on the host."""
    says = page_says((out / "index.html").read_bytes())
    if says is None:
        raise BuildError(f"{out} is no build of PocketPump.")
    return Place(says.base, says.policy, folder, report.release, tuple(report.files))


def write(folder: Path, place: Place, out: Path) -> None:
    """Write the settings for ``place`` into ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    texts = {
        "_headers": header_file(place),
        "apache.conf": apache(place),
        "nginx.conf": nginx(place),
        "pocketpump.caddy": caddy(place),
        UPLOAD: _upload(place, out.absolute().resolve()),
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")


def _upload(place: Place, out: Path) -> str:
    title = f"{_OURS} (release {place.release})"
    return f"""\
{title}
{"=" * len(title)}

1. The settings, once: nginx.conf, pocketpump.caddy or apache.conf; each says in its first lines
   where it goes. They are for the address {place.base} and the folder {place.folder} on the host.
   Hosts that read _headers (Netlify): in the root of what is uploaded, new with each build.

2. The files, in this order, so that no visitor meets half of a new version:

   rsync -r --checksum {_quoted(out)}/r-* HOST:{_quoted(place.folder)}/
   rsync -r --checksum --exclude=sw.js --exclude='r-*' {_quoted(out)}/ HOST:{_quoted(place.folder)}/
   rsync --checksum {_quoted(out)}/sw.js HOST:{_quoted(place.folder)}/

   Leave older r-… folders on the host for a month: a page that is open goes on with its own.

3. pocketpump web --check https://YOUR-HOST{place.base}

To go back to an older version: keep its folder, and upload it again in the same order, sw.js
last. Phones take it like any other version; the records are not touched,
but an older version may not be able to read what a newer one wrote: the notes of the version
(CHANGELOG.md) say so.
"""


def _quoted(path: object) -> str:
    text = str(path)
    return f"'{text}'" if " " in text else text
