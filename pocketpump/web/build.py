"""Builds the static, offline phone app into a folder, from installed packages alone.

Layout of the result: ``index.html``, ``sw.js``, the manifest and the icons have fixed
names; everything else is in one folder named after its content (``r-…/``). A page therefore
only ever loads files of the release it belongs to, whatever a cache on the way remembers.
"""

from __future__ import annotations

import gzip
import hashlib
import json
import re
import shutil
import tempfile
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import deflate

import pocketpump
from pocketpump.exchange.papers.drawing.fonts import NAMES, asset_folder
from pocketpump.web import client, icon_font, packing, page, python_runtime, slimming, snapshot
from pocketpump.web.errors import BuildError
from pocketpump.web.hosting import rules, snippets
from pocketpump.web.icons import ICONS

SLOTS = 16
FOLDER = "pocketpump"
GLANCE_FILE = "glance.json"
ENTRY = "pocketpump.web.phone"
#: The modules of this package that run in the browser.
RUNTIME_MODULES = ("__init__", "errors", "browser_files", "bridge", "start", "glance", "page_words",
                   "phone", "drawn_letters")  # fmt: skip
#: Parts of the project the browser has no use for; "web/" comes back as RUNTIME_MODULES.
DESKTOP_ONLY = (
    "__main__.py", "cli/", "web/", "app/server/serve.py", "app/server/index_page.py",
    "app/server/access_gate.py", "exchange/papers/drawing/device_fonts.py", "demo/", "assets/",
)  # fmt: skip
#: Stands for the release's address until its content, and so its name, is known.
_PLACEHOLDER = "/r-000000000000/"

_ASSETS = "pocketpump/assets/"
_BASE_URL = re.compile(r"/(?:[A-Za-z0-9._~-]+/)*")
_FLET_NAME = re.compile(rb"\b(?:ft|flet)\.([A-Za-z_]\w*)")


@dataclass(frozen=True)
class Plan:
    """What to build."""

    package: Path
    base_url: str = "/"
    with_snapshot: bool = True


@dataclass
class Report:
    """What was built, for people and for budget tests."""

    release: str
    files: dict[str, int] = field(default_factory=dict)
    first_download_gzip: int = 0
    offline_gzip: int = 0
    snapshot: bool = False


def build(
    out: Path, *, base_url: str = "/", snapshot: bool = True, package: Path | None = None
) -> Report:
    """Build the app into ``out``, a new or empty folder or one an earlier build made.

    ``base_url`` is the path the folder will be served at. Without ``snapshot``, or without
    Node, sources are shipped and the app starts more slowly. ``package`` is the folder of
    ``pocketpump`` to build; the running one by default. Raises :class:`BuildError`.
    """
    if not _BASE_URL.fullmatch(base_url):
        raise BuildError("The base URL must begin and end with a slash, like /pump/.")
    if out.exists() and not _may_be_replaced(out):
        raise BuildError(f"{out} holds other things: name a new or an empty folder.")
    plan = Plan(
        package=package or Path(pocketpump.__file__).parent,
        base_url=base_url,
        with_snapshot=snapshot and python_runtime.node() is not None,
    )
    files = _release_files(plan)
    digest = _digest(files)
    release = f"r-{digest[:12]}"
    release_url = f"{base_url}{release}/"
    inner = {
        name: data.replace(_address(plan).encode(), release_url.encode())
        if name == "main.dart.js"
        else data
        for name, data in files.items()
    }
    outer = _outer_files(plan, release, inner)
    return _write(out, release, inner, outer, plan)


def _may_be_replaced(out: Path) -> bool:
    """Tell whether ``out`` is an empty folder or one that holds an earlier build."""
    if not out.is_dir():
        return False
    return (out / "sw.js").is_file() or not any(out.iterdir())


def _address(plan: Plan) -> str:
    return plan.base_url.rstrip("/") + _PLACEHOLDER


def _release_files(plan: Plan) -> dict[str, bytes]:
    """Return everything that goes into the release's folder."""
    web = client.web_folder()
    files = client.client_files(web, _address(plan))
    app = {**packing.package_files(plan.package, DESKTOP_ONLY), **_assets()}
    files.update({f"fonts/{name}.ttf": app[f"{_ASSETS}fonts/{name}.ttf"] for name in NAMES})
    icon_names = icon_font.used_icons(app)
    files.update(_python_files(plan, web / "pyodide", app, icon_names))
    codes = _icon_codes()
    font = "assets/fonts/MaterialIcons-Regular.otf"
    # Above 16 bits is the number of the font, below it the place in the client's list.
    numbers = [codes[name] & 0xFFFF for name in sorted(icon_names) if name in codes]
    script = files["main.dart.js"].decode()
    keep = icon_font.characters(script, numbers)
    script = slimming.without_icons(slimming.without_languages(script), numbers, len(codes))
    # In one file with the client that needs it, so that it is no request of its own.
    files["main.dart.js"] = (page.script("line_breaks.js") + script).encode()
    if keep is not None:  # otherwise the whole font, which is always right
        files[font] = icon_font.thin(files[font], keep)
    return files


def _assets() -> dict[str, bytes]:
    """Return what the screens and the card read, at its place in the installed package."""
    return {
        f"{_ASSETS}{folder}/{file.name}": file.read_bytes()
        for folder in ("fonts", "phrases")
        for file in asset_folder(folder).iterdir()
    }


def _icon_codes() -> dict[str, int]:
    source = packing.distribution_files("flet")["flet/controls/material/icons.json"]
    codes: dict[str, int] = json.loads(source)
    return codes


def _python_files(
    plan: Plan, pyodide: Path, app: Mapping[str, bytes], icon_names: Iterable[str]
) -> dict[str, bytes]:
    """Return the archives, the snapshot and the worker's script."""
    package = (__package__ or "").split(".")
    runtime = {
        f"{'/'.join(package)}/{name}.py": (plan.package / "web" / f"{name}.py").read_bytes()
        for name in RUNTIME_MODULES
    }
    archives = packing.python_side({**app, **runtime})
    codes = _icon_codes()
    kept = {name: codes[name] for name in sorted(icon_names) if name in codes}
    archives["site"]["flet/controls/material/icons.json"] = json.dumps(kept).encode()
    archives["papers"] |= python_runtime.stdlib_for_papers(pyodide)
    stdlib = python_runtime.stdlib_sources(pyodide)
    start = ".".join([*package, "start"])
    names = {
        found.decode()
        for path, data in {**app, **runtime}.items()
        if path.endswith(".py")
        for found in _FLET_NAME.findall(data)
    }
    prepare = python_runtime.prepare_script(start, ENTRY, names)
    about: dict[str, object] = {
        "snapshot": None,
        "slots": SLOTS,
        "folder": FOLDER,
        "glanceFile": GLANCE_FILE,
        "lockInfo": python_runtime.lock_info(pyodide),
        "environment": python_runtime.ENVIRONMENT,
        "prepare": prepare,
        "startModule": start,
    }
    files: dict[str, bytes] = {}
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        if plan.with_snapshot:
            # One run for all; the paths inside them do not meet.
            everything = {**stdlib}
            for part in archives.values():
                everything |= part
            code = python_runtime.compile_all(everything, pyodide, work)
            stdlib = packing.with_bytecode(stdlib, code)
            archives = {n: packing.with_bytecode(part, code) for n, part in archives.items()}
        files["python/stdlib.zip"] = packing.stored_zip(stdlib)
        for name, part in archives.items():
            files[f"python/{name}.zip"] = packing.stored_zip(part)
        if plan.with_snapshot:
            places = {f"/app/{name}.zip": files[f"python/{name}.zip"] for name in archives}
            image = python_runtime.take_snapshot(
                places, files["python/stdlib.zip"], prepare, pyodide, work
            )
            files.update(_snapshot_file(image, pyodide, about))
    files["worker.js"] = page.worker(about).encode()
    files["device.js"] = page.script("device.js").encode()
    return files


def _snapshot_file(image: bytes, pyodide: Path, about: dict[str, object]) -> dict[str, bytes]:
    packed = snapshot.pack(image, (pyodide / "pyodide.asm.wasm").read_bytes())
    # Compressed here, for many a file server does not compress what it does not know.
    name = "python/snapshot.bin.gz"
    about["snapshot"] = {
        "file": name,
        "size": packed.size,
        "heapStart": packed.heap_start,
        "sum": packed.sum,
        "runs": packed.runs,
    }
    return {name: _gzip(packed.data)}


def _gzip(data: bytes) -> bytes:
    """Compress as tightly as libdeflate can, 3 % below zlib, without the time of day in it."""
    return bytes(deflate.gzip_compress(data, 12))


def _digest(files: Mapping[str, bytes]) -> str:
    """Return one name for the content of all files."""
    total = hashlib.sha256()
    for name in sorted(files):
        total.update(f"{name}\0{hashlib.sha256(files[name]).hexdigest()}\n".encode())
    return total.hexdigest()


def _outer_files(plan: Plan, release: str, inner: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the files with fixed names: page, service worker, manifest, icons."""
    base = plan.base_url
    config = {
        "base": base,
        "release": f"{base}{release}/",
        "folder": FOLDER,
        "glanceFile": GLANCE_FILE,
        "flutterBuild": client.flutter_build(client.web_folder()),
        "name": page.NAME,
    }
    text, policy = page.index_html(config, _bar_icons())
    outer = {
        "index.html": text.encode(),
        "manifest.webmanifest": page.manifest(base, _routes()).encode(),
        **_pictures("icons", "icons", ICONS),
        **_pictures("screens/small", "screens", page.SCREENSHOTS),
    }
    late = (*(f"{release}/{name}" for name in client.LATE), page.LATE)
    every = sorted(outer.items()) + [(f"{release}/{name}", inner[name]) for name in sorted(inner)]
    listed = [
        [name, hashlib.sha256(data).hexdigest(), name.startswith(late)] for name, data in every
    ]
    identity = hashlib.sha256(json.dumps(listed).encode()).hexdigest()[:12]
    details = {"id": identity, "files": listed, "folder": FOLDER, "glanceFile": GLANCE_FILE}
    outer["sw.js"] = page.service_worker(details).encode()
    if base == "/":  # hosts read it in the root of what they serve alone
        names = (*outer, *(f"{release}/{name}" for name in inner))
        place = snippets.Place(base, policy, "", release, names)
        outer["_headers"] = snippets.header_file(place).encode()
    return outer


def _routes() -> Collection[str]:
    """Return the routes the app knows, so that no shortcut leads nowhere."""
    from pocketpump.app.screens.routes import ROUTES  # loads Flet, which only a build needs

    return ROUTES.keys()


def _bar_icons() -> dict[str, str]:
    """Return the outlines of the icons in the bar, by route; none where they are not found."""
    from pocketpump.app.main import PLACES

    web = client.web_folder()
    script = (web / "main.dart.js").read_text(encoding="utf-8")
    font = (web / "assets/fonts/MaterialIcons-Regular.otf").read_bytes()
    found = {p.route: icon_font.characters(script, [int(p.icon) & 0xFFFF]) for p in PLACES}
    return {r: icon_font.outline(font, *codes) for r, codes in found.items() if codes}


def _pictures(folder: str, place: str, rows: Iterable[tuple[Any, ...]]) -> dict[str, bytes]:
    """Return the pictures whose names begin the ``rows``, by their address below ``place``."""
    package = Path(pocketpump.__file__).parent
    for assets in (package / "assets", package.parent / "assets"):
        if (assets / folder).is_dir():
            return {f"{place}/{row[0]}": (assets / folder / row[0]).read_bytes() for row in rows}
    raise BuildError("The app's pictures are missing: install PocketPump again.")


def _write(
    out: Path, release: str, inner: Mapping[str, bytes], outer: Mapping[str, bytes], plan: Plan
) -> Report:
    shutil.rmtree(out, ignore_errors=True)
    report = Report(release, snapshot=plan.with_snapshot)
    everything = {**outer, **{f"{release}/{name}": data for name, data in inner.items()}}
    for name, data in sorted(everything.items()):
        path = out / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        report.files[name] = len(data)
        inside = name.removeprefix(f"{release}/")
        if name.startswith("_") or inside.startswith(client.LATE) or not rules.is_kept(name):
            continue
        small = len(gzip.compress(data, 9, mtime=0)) if rules.is_compressed(name) else len(data)
        report.offline_gzip += small
        if rules.is_first(name, with_snapshot=plan.with_snapshot):
            report.first_download_gzip += small
    return report
