"""Which line to change for what is wrong, in the words of the server that is there."""

from __future__ import annotations

from pocketpump.web.hosting.fetch import Answer

#: The files that ``pocketpump web`` writes beside a build, by a word of the Server header.
FILES = {"nginx": "nginx.conf", "caddy": "pocketpump.caddy", "apache": "apache.conf"}

#: What a finding's line begins with in each of these files. The tests look it up there.
LINES: dict[str, dict[str, tuple[str, ...]]] = {
    "slash": {
        "nginx": ("location = ", "return 301 "),
        "caddy": ("redir ",),
        "apache": ("RedirectMatch 301 ",),
    },
    "types": {
        "nginx": ("types {", "default_type "),
        "caddy": ("header @pocketpump_0 Content-Type ",),
        "apache": ("ForceType ",),
    },
    "caching-fixed": {
        "nginx": ("set $pocketpump_cache ", "add_header Cache-Control "),
        "caddy": ("header @pocketpump_fixed Cache-Control ",),
        "apache": ("Header set Cache-Control ",),
    },
    "caching-release": {
        "nginx": ("set $pocketpump_cache ", "add_header Cache-Control "),
        "caddy": ("header @pocketpump_release Cache-Control ",),
        "apache": ("<LocationMatch ", "Header set Cache-Control "),
    },
    "compression": {
        "nginx": ("gzip on;", "gzip_types "),
        "caddy": ("encode {",),
        "apache": ("AddOutputFilterByType DEFLATE ",),
    },
    "policy": {
        "nginx": ("add_header Content-Security-Policy ",),
        "caddy": ("Content-Security-Policy ",),
        "apache": ("Header always set Content-Security-Policy ",),
    },
    "x-content-type-options": {
        "nginx": ("add_header X-Content-Type-Options ",),
        "caddy": ("X-Content-Type-Options ",),
        "apache": ("Header always set X-Content-Type-Options ",),
    },
    "referrer-policy": {
        "nginx": ("add_header Referrer-Policy ",),
        "caddy": ("Referrer-Policy ",),
        "apache": ("Header always set Referrer-Policy ",),
    },
}  # fmt: skip

#: What to do where no line of those files is at fault.
_OTHERWISE = {
    "https": "Get the host a certificate (Caddy does so by itself; for others: certbot), and use"
    " the https address.",
    "pocketpump": "Upload the build, and check the address at which its index.html is.",
    "base": "Build again with --base-url and the path of the address.",
    "slash": "Let the host redirect the address without the last slash to the one with it.",
    "files": "Upload the build again: r-…/ first, sw.js last; let the host change no file on the"
    " way (no minifying), and send .bin.gz without Content-Encoding.",
    "types": "Let the host send the types named here.",
    "caching-fixed": "Let the host send Cache-Control: no-cache with all but r-…/.",
    "caching-release": "Let the host send Cache-Control: public, max-age=31536000, immutable with"
    " r-…/.",
    "compression": "Let the host compress (gzip) js, mjs, json, wasm, zip, otf and ttf.",
    "policy": "Let the host send the Content-Security-Policy that stands in the settings beside"
    " this build, and no other.",
    "x-content-type-options": "Let the host send X-Content-Type-Options: nosniff.",
    "referrer-policy": "Let the host send Referrer-Policy: no-referrer.",
    "unknown": "Let unknown names answer 404, without Cache-Control: take out what answers with a"
    " page (try_files … /index.html, a fallback for single-page apps).",
}


def server_of(answer: Answer) -> str:
    """Return which of the servers we know ``answer`` says it comes from, or nothing."""
    name = answer.header("server").lower()
    return next((known for known in FILES if known in name), "")


def change(about: str, server: str) -> str:
    """Return what to change for a finding about ``about``."""
    lines = LINES.get(about, {}).get(server, ())
    if lines:
        return f"In {FILES[server]}: " + ", ".join(f"`{line.strip()} …`" for line in lines) + "."
    return _OTHERWISE.get(about, "")
