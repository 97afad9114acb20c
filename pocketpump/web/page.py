"""Writes the page, its security policy, the manifest and the service worker."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Collection, Mapping
from dataclasses import asdict
from importlib import resources
from typing import Any

from pocketpump.app.look import theme
from pocketpump.app.screens.safety.ticked_signs import DRAFT
from pocketpump.app.server.content_policy import policy
from pocketpump.core.messages import text_in
from pocketpump.exchange.language.locales import LANGUAGE_NAMES, locale
from pocketpump.record.entry.kinds import REMOVAL
from pocketpump.web import opening_form
from pocketpump.web.page_words import PAGE_WORDS, REMINDER_WORDS

NAME = "PocketPump"
DESCRIPTION = (
    "A private, offline notebook with arithmetic for people who live with an implanted "
    "baclofen pump."
)
#: Where a long press on the app's icon may lead, if the app has such a screen.
SHORTCUTS = (
    ("Card", "/card"),
    ("Log a refill", "/refill"),
    ("How is it now?", "/check-in"),
    ("Today", "/today"),
)

#: What an app store of a browser shows: the file, its size, its form, and what it is of.
SCREENSHOTS = (
    ("today.png", "390x844", "narrow", "The days to the refill"),
    ("refills.png", "390x844", "narrow", "Refills"),
    ("doses.png", "390x844", "narrow", "Dose settings"),
    ("today-desktop.png", "1280x800", "wide", "The days to the refill, on a computer"),
)
#: Where they are: no part of the start, nor of the offline copy.
LATE = "screens/"
#: What can be shared with the app or opened with it: a backup, or the clinic's papers.
BACKUPS = {"application/json": [".json"]}
PAPERS = ("image/png", "image/jpeg", "image/webp", "application/pdf")

#: What the page makes an entry of: the kinds, and the form in which the app goes on.
CHECK_IN = {"kind": "check-in", "removal": REMOVAL, "draft": DRAFT}

#: The page's scripts in the order they run. They are in the page itself, for each request
#: before the first paint costs more than the few kilobytes do.
HEAD_SCRIPTS = ("first.js",)
BODY_SCRIPTS = (
    "stored.js", "inbox.js", "facts.js", "reservoir.js", "card.js", "glance.js", "hold.js",
    "check_in.js", "handover.js", "updates.js", "trouble.js", "windows.js", "print.js",
    "python.js", "client.js",
)  # fmt: skip

_COMMENT = re.compile(r"^\s*//.*\n", re.MULTILINE)


def asset(name: str) -> str:
    """Return the text of a file in this package's ``page`` folder."""
    return (resources.files(__package__) / "page" / name).read_text(encoding="utf-8")


def script(name: str) -> str:
    """Return a script without its whole-line comments: they are for the reader of the source."""
    return _COMMENT.sub("", asset(name))


def for_script(value: Any) -> str:
    """Return ``value`` as JSON that can stand inside a ``<script>`` element."""
    return json.dumps(value, sort_keys=True).replace("<", "\\u003c")


def style() -> str:
    """Return the page's style sheet in the app's colours, for light and dark."""

    def names(palette: theme.Palette) -> str:
        roles = sorted(asdict(palette).items())
        return " ".join(f"--{role.replace('_', '-')}: {colour};" for role, colour in roles)

    text = asset("page.css").replace("/*LIGHT*/", names(theme.LIGHT))
    return text.replace("/*DARK*/", names(theme.DARK))


def index_html(config: Mapping[str, Any], icons: Mapping[str, str]) -> tuple[str, str]:
    """Return the page, and its policy (to be sent as a header too, where one can).

    ``config`` is what the page's scripts read as ``PAGE``: base, release, folder, …; ``icons``
    are the outlines of those in the bar, by route.
    """
    words = _english(PAGE_WORDS)
    translated = {code: {name: text_in(text, locale(code)) for name, text in PAGE_WORDS.items()}
              for code in LANGUAGE_NAMES}  # fmt: skip
    told = for_script({**config, "words": translated, "checkIn": CHECK_IN})
    head = f"const PAGE = {told};\n" + "".join(map(script, HEAD_SCRIPTS))
    body = "".join(map(script, BODY_SCRIPTS))
    rules = policy((head.encode(), body.encode()))
    values = {
        "policy": html.escape(rules, quote=True).replace("&#x27;", "'"),
        "base": html.escape(str(config["base"]), quote=True),
        "release": html.escape(str(config["release"]), quote=True),
        "name": NAME,
        "description": html.escape(DESCRIPTION, quote=True),
        "sand": theme.LIGHT.sand,
        "sand_dark": theme.DARK.sand,
        "style": style(),
        "check_in": opening_form.check_in_form(words),
        "places": opening_form.place_links(words, icons),
        "head_script": head,
        "body_script": body,
        **{f"say_{name}": html.escape(text) for name, text in words.items()},
    }
    text = re.sub(r"\{\{(\w+)\}\}", lambda found: values[found[1]], asset("index.html"))
    return text, rules


def _english(words: Mapping[str, str]) -> dict[str, str]:
    return {name: text_in(text, None) for name, text in words.items()}


def manifest(base: str, routes: Collection[str]) -> str:
    """Return the web app manifest, with shortcuts to those of ``routes`` worth one."""

    def icon(name: str, size: int, purpose: str) -> dict[str, str]:
        return {
            "src": f"{base}icons/{name}-{size}.png",
            "sizes": f"{size}x{size}",
            "type": "image/png",
            "purpose": purpose,
        }

    def shortcut(name: str, route: str) -> dict[str, Any]:
        return {"name": name, "url": f"{base}#{route}", "icons": [icon("icon", 192, "any")]}

    return json.dumps(
        {
            "id": base,
            "name": NAME,
            "short_name": NAME,
            "description": DESCRIPTION,
            "lang": "en",
            "dir": "ltr",
            "start_url": base,
            "scope": base,
            "display": "standalone",
            "background_color": theme.LIGHT.sand,
            "theme_color": theme.LIGHT.sand,
            "categories": ["health", "medical"],
            "prefer_related_applications": False,
            "icons": [
                icon(name, size, purpose)
                for name, purpose in (("icon", "any"), ("icon-maskable", "maskable"))
                for size in (192, 512)
            ],
            "screenshots": [
                {
                    "src": f"{base}{LATE}{name}",
                    "sizes": size,
                    "type": "image/png",
                    "form_factor": form,
                    "label": label,
                }
                for name, size, form, label in SCREENSHOTS
            ],
            "share_target": {
                "action": f"{base}share",
                "method": "POST",
                "enctype": "multipart/form-data",
                # Android offers the app for what is listed by type; some programs give no type
                # but the ending.
                "params": {"files": [{"name": "file", "accept": [*BACKUPS, ".json", *PAPERS]}]},
            },
            "file_handlers": [{"action": base, "accept": BACKUPS}],
            # One window has the record open: another could only say so.
            "launch_handler": {"client_mode": ["navigate-existing", "auto"]},
            "shortcuts": [shortcut(name, route) for name, route in SHORTCUTS if route in routes],
        },
        indent=2,
    )


def service_worker(release: Mapping[str, Any]) -> str:
    """Return the service worker for one release."""
    told = for_script({**release, "words": _english(REMINDER_WORDS)})
    return (script("stored.js") + script("sw.js")).replace("/*RELEASE*/ null", told)


def worker(build: Mapping[str, Any]) -> str:
    """Return the Python worker's script for one build."""
    names = (
        "stored.js",
        "inbox.js",
        "late_handles.js",
        "picture.js",
        "worker.js",
        "load_python.js",
    )
    whole = "".join(map(script, names))
    return whole.replace("/*BUILD*/ null", for_script(build))
