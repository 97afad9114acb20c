"""What each file of the built app must be sent with: type, compression, caching, security."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from pocketpump.app.server.content_policy import framed_nowhere

FOR_EVER = "public, max-age=31536000, immutable"
ASK_ANEW = "no-cache"

#: The type for each ending, as we send it. What has no ending is the text of the licences.
TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".wasm": "application/wasm",
    ".png": "image/png",
    ".woff2": "font/woff2",
    ".otf": "font/otf",
    ".ttf": "font/ttf",
    ".zip": "application/zip",
    ".bin": "application/octet-stream",
    ".gz": "application/octet-stream",
    ".frag": "text/plain; charset=utf-8",
    "": "text/plain; charset=utf-8",
}
#: Others than ours that browsers take just as well.
_AS_GOOD = {
    ".html": (),
    ".js": ("application/javascript",),
    ".mjs": ("application/javascript",),
    ".json": ("text/json",),
    ".webmanifest": ("application/json",),
    ".wasm": (),
    ".png": (),
    ".woff2": ("application/font-woff2", "application/octet-stream"),
    ".otf": ("application/vnd.ms-opentype", "application/octet-stream", "font/sfnt"),
    ".ttf": ("application/octet-stream", "application/x-font-ttf", "font/sfnt"),
    ".zip": ("application/octet-stream", "application/x-zip-compressed"),
    ".gz": ("application/gzip", "application/x-gzip"),
}
#: With another type than these the app does not start: browsers refuse to run the file.
NEEDED = (".html", ".js", ".mjs", ".wasm")

#: Worth compressing on the way. Pictures, woff2 and ``.bin.gz`` are compressed already; the
#: archives are not, so that the host's compression reaches what is in them.
COMPRESSED = (".html", ".js", ".mjs", ".json", ".webmanifest", ".wasm", ".otf", ".ttf", ".zip", "")
#: Below this, in bytes, compression changes nothing that anybody would notice.
WORTH_IT = 4096

#: What a browser of Chromium's kind asks for until the app can be used.
_FIRST = (
    "index.html", "manifest.webmanifest", "icons/favicon.png", "main.dart.js", "flutter.js",
    "canvaskit/chromium/", "assets/FontManifest.json", "assets/fonts/", "assets/AssetManifest",
    "pyodide/", "python/snapshot", "python/tz.zip", "worker.js", "rive/wasm/",
)  # fmt: skip
#: The drawing engine for other browsers than those.
_OTHER_ENGINE = "canvaskit/canvaskit."

_RELEASE = re.compile(r"r-[0-9a-f]{12}/")


def ending(path: str) -> str:
    """Return what decides of ``path``: its last ending with the dot, or nothing."""
    return PurePosixPath(path).suffix.lower()


def type_to_send(path: str) -> str:
    """Return the type that ``path`` is to be sent with."""
    return TYPES.get(ending(path), "application/octet-stream")


def is_right_type(path: str, given: str) -> bool:
    """Tell whether a browser takes ``path`` rightly with the Content-Type ``given``."""
    bare = given.partition(";")[0].strip().lower()
    of = ending(path)
    if of not in _AS_GOOD:  # nothing looks at it
        return True
    return bare == TYPES[of].partition(";")[0] or bare in _AS_GOOD[of]


def is_compressed(path: str) -> bool:
    """Tell whether a host is to compress ``path``."""
    return ending(path) in COMPRESSED


def never_changes(path: str) -> bool:
    """Tell whether ``path``, below the base, is in a release's folder."""
    return _RELEASE.match(path) is not None


def caching(path: str) -> str:
    """Return the Cache-Control that ``path``, below the base, is to be sent with."""
    return FOR_EVER if never_changes(path) else ASK_ANEW


def lasting(policy: str) -> str:
    """Return the page's ``policy`` as a host may send it with every build, also the next one.

    The page's own policy, which stands in it, names its scripts by their hashes, which differ from
    build to build. Both hold at once, so nothing is lost if the host's leaves that to the page;
    with the hashes of another build it would keep the page from starting.
    """
    without = re.sub(r" 'sha256-[^' ]*'", "", policy)
    return without.replace("script-src 'self'", "script-src 'self' 'unsafe-inline'", 1)


def security(policy: str) -> tuple[tuple[str, str], ...]:
    """Return the headers that go with every file; ``policy`` is the page's own."""
    return (
        ("Content-Security-Policy", framed_nowhere(lasting(policy))),
        ("X-Content-Type-Options", "nosniff"),
        ("Referrer-Policy", "no-referrer"),
    )


def is_first(path: str, *, with_snapshot: bool) -> bool:
    """Tell whether ``path`` is fetched before the app can be used for the first time."""
    first = _FIRST if with_snapshot else (*_FIRST, "python/s")
    return _RELEASE.sub("", path, count=1).startswith(first)


def is_kept(path: str) -> bool:
    """Tell whether a browser of Chromium's kind keeps ``path`` before the app works offline.

    Of the two drawing engines a browser keeps one; the other one's is 0.7 MB larger.
    """
    return not _RELEASE.sub("", path, count=1).startswith(_OTHER_ENGINE)
