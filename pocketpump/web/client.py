"""Takes from flet-web's ready-made client the parts the app uses, and cuts its ties.

The client knows a few addresses of other servers (fonts, drawing engine, an animation
library). Each is replaced by a place in the release itself, and the build fails should a
new version of flet-web bring one we do not know.
"""

from __future__ import annotations

import json
import re
from importlib import resources
from pathlib import Path

from pocketpump.exchange.papers.drawing.fonts import NAMES
from pocketpump.web.errors import BuildError

#: What is taken, as patterns inside flet-web's ``web`` folder. The rest (30 MB of other
#: engines, symbol files, media players, formula fonts) is never asked for.
TAKEN = (
    "main.dart.js",
    "flutter.js",
    "version.json",
    "canvaskit/canvaskit.js",
    "canvaskit/canvaskit.wasm",
    "canvaskit/chromium/canvaskit.js",
    "canvaskit/chromium/canvaskit.wasm",
    "assets/AssetManifest.bin",
    "assets/AssetManifest.bin.json",
    "assets/NOTICES",
    "assets/fonts/MaterialIcons-Regular.otf",
    "assets/fonts/roboto.woff2",
    "assets/shaders/*.frag",
    "assets/packages/wakelock_plus/assets/no_sleep.js",
    "pyodide/pyodide.mjs",
    "pyodide/pyodide.asm.mjs",
    "pyodide/pyodide.asm.wasm",
)

#: Files that may come late: they are not part of the start.
LATE = ("assets/NOTICES", "version.json")

_RIVE = re.compile(r"https://cdn\.jsdelivr\.net/npm/@rive-app/flutter-native-wasm@[\d.]+/")
_CANVASKIT = re.compile(r"https://www\.gstatic\.com/flutter-canvaskit/[0-9a-f]+/")
_FONTS = "https://fonts.gstatic.com/s/"
_SAMPLE_FONT = "https://raw.githubusercontent.com/google/fonts/master/ofl/kanit/Kanit-Bold.ttf"

#: The client's list of fonts for letters that Roboto lacks: where each would be fetched.
_SPARE_FONT = re.compile(r'"(noto[a-z0-9]+)/v\d+/[\w.-]+\.(?:woff2|ttf|otf)"')
_BUNDLED = {"notosansarabic": NAMES[1], "notosanssc": NAMES[2], "notosanstc": NAMES[2],
            "notosanshk": NAMES[2], "notosansjp": NAMES[3]}  # fmt: skip

#: Hosts that occur only in texts for people (links, error messages), never in a request.
_IN_TEXTS = (
    "api.flutter.dev",
    "developer.android.com",
    "developer.mozilla.org",
    "docs.flutter.dev",
    "flet.dev",
    "flutter.dev",
    "github.com",
    "pub.dev",
    "www.w3.org",
)
_ADDRESS = re.compile(r"https?://([a-zA-Z0-9][a-zA-Z0-9.-]*\.[a-z]{2,})")

#: The animation library waits for a script it loads; this one never resolves, as when the
#: address cannot be reached, but without an error at each start.
_RIVE_STUB = "globalThis.RiveNative = () => new Promise(() => {});\n"


def web_folder() -> Path:
    """Return the folder of flet-web's client in the installed environment."""
    try:
        folder = Path(str(resources.files("flet_web") / "web"))
    except ModuleNotFoundError as error:
        raise BuildError("The package flet-web is not installed.") from error
    if not (folder / "pyodide" / "pyodide.mjs").is_file():
        raise BuildError(f"{folder} does not hold Flet's client with Pyodide.")
    return folder


def client_files(web: Path, release_url: str) -> dict[str, bytes]:
    """Return the client's files for a release served at ``release_url``."""
    files: dict[str, bytes] = {}
    for pattern in TAKEN:
        found = sorted(web.glob(pattern))
        if not found:
            raise BuildError(f"flet-web's client has no {pattern} any more.")
        for path in found:
            files[path.relative_to(web).as_posix()] = path.read_bytes()
    files["main.dart.js"] = local_only(files["main.dart.js"].decode(), release_url).encode()
    files["flutter.js"] = _without_source_map(files["flutter.js"])
    files["pyodide/pyodide.mjs"] = _without_source_map(files["pyodide/pyodide.mjs"])
    files["assets/FontManifest.json"] = font_manifest()
    for build in ("wasm", "wasm_compatibility"):
        files[f"rive/{build}/rive_native.js"] = _RIVE_STUB.encode()
    return files


def local_only(script: str, release_url: str) -> str:
    """Replace every address of another server, and every font we lack, in ``main.dart.js``."""
    for pattern, replacement in (
        (_RIVE, f"{release_url}rive/"),
        (_CANVASKIT, f"{release_url}canvaskit/"),
        (re.compile(re.escape(_FONTS)), f"{release_url}assets/fonts/"),
        (re.compile(re.escape(_SAMPLE_FONT)), f"{release_url}assets/fonts/roboto.woff2"),
    ):
        script, count = pattern.subn(replacement, script)
        if count != 1:
            raise BuildError(f"Expected one {pattern.pattern} in Flet's client, found {count}.")
    script, count = _SPARE_FONT.subn(_bundled_font, script)
    if count == 0:
        raise BuildError("Flet's client has no list of spare fonts where we look for it.")
    unknown = set(_ADDRESS.findall(script)) - set(_IN_TEXTS)
    if unknown:
        raise BuildError(f"Flet's client knows servers we do not: {', '.join(sorted(unknown))}.")
    return script


def _bundled_font(found: re.Match[str]) -> str:
    # Seen from assets/fonts/. One that is missing would be asked for again at every frame.
    return f'"../../fonts/{_BUNDLED.get(found[1], NAMES[0])}.ttf"'


def font_manifest() -> bytes:
    """Return the list of fonts Flutter loads at its start: icons, and Roboto from here."""
    fonts = [
        {"family": "MaterialIcons", "fonts": [{"asset": "fonts/MaterialIcons-Regular.otf"}]},
        {"family": "Roboto", "fonts": [{"asset": "fonts/roboto.woff2"}]},
    ]
    return json.dumps(fonts).encode()


def flutter_build(web: Path) -> dict[str, object]:
    """Return Flutter's build description, with only the build that runs everywhere."""
    script = (web / "flutter_bootstrap.js").read_text(encoding="utf-8")
    found = re.search(r"_flutter\.buildConfig = (\{.*?\});", script)
    if found is None:
        raise BuildError("flet-web's flutter_bootstrap.js describes no build.")
    config: dict[str, object] = json.loads(found[1])
    builds = config["builds"]
    assert isinstance(builds, list)
    config["builds"] = [build for build in builds if build.get("renderer") == "canvaskit"]
    return config


def _without_source_map(data: bytes) -> bytes:
    """Drop the note where the source map is, for it is not in the release."""
    return re.sub(rb"//# sourceMappingURL=\S+\s*$", b"", data)
