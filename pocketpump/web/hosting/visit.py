"""Asks a host for everything that matters, and keeps the answers as plain facts."""

from __future__ import annotations

import secrets
import ssl
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from pocketpump.web.errors import BuildError
from pocketpump.web.hosting.address import Address
from pocketpump.web.hosting.fetch import Answer, Limits, UntrustedError, fetch
from pocketpump.web.hosting.listed import Listed, PageSays, files_listed, page_says
from pocketpump.web.hosting.rules import never_changes

WORKER = "sw.js"
#: After so many files that did not come, in a row, the rest is not asked for.
_PATIENCE = 3

Ask = Callable[[str, bool], Answer]
"""Asks for a path below the host's root, and keeps the body if told to."""


@dataclass(frozen=True, slots=True)
class Visit:
    """What a host answered.

    ``slashless`` is the answer without the last slash (None at the root), ``files`` what the
    service worker lists, ``answers`` the answers by path below the base. ``says`` and ``files``
    are None where there is no PocketPump. ``untrusted`` is what is wrong with the certificate.
    """

    address: Address
    untrusted: str = ""
    page: Answer = field(default_factory=Answer)
    worker: Answer = field(default_factory=Answer)
    says: PageSays | None = None
    files: tuple[Listed, ...] | None = None
    slashless: Answer | None = None
    answers: dict[str, Answer] = field(default_factory=dict)
    unknown: tuple[Answer, ...] = ()

    @property
    def everything(self) -> dict[str, Answer]:
        """All answers that should be files of the app, by path below the base; the page is ''."""
        return {"": self.page, WORKER: self.worker, **self.answers}


def visit(address: Address, limits: Limits, context: ssl.SSLContext) -> Visit:
    """Visit ``address``; raises :class:`BuildError` if no host answers there."""
    end = time.monotonic() + limits.all_seconds

    def ask(path: str, keep: bool) -> Answer:
        left = end - time.monotonic()
        if left <= 0:
            return Answer(trouble="was not asked for: the time was up")
        seconds = min(left, limits.file_seconds)
        try:
            return fetch(address, path, replace(limits, file_seconds=seconds), context, keep=keep)
        except BuildError:
            return Answer(trouble="did not come: the host let nobody in")

    try:
        page = fetch(address, address.base, limits, context, keep=True)
    except UntrustedError as error:
        return Visit(address, untrusted=str(error))
    says = page_says(page.body) if page.status == 200 else None
    worker = ask(address.base + WORKER, True) if says else Answer()
    files = files_listed(worker.body) if worker.status == 200 else None
    seen = Visit(address, "", replace(page, body=b""), replace(worker, body=b""), says, files)
    if files is None:
        return seen
    bare = address.base.rstrip("/")
    token = secrets.token_hex(8)
    releases = (one.path.partition("/")[0] for one in files if never_changes(one.path))
    release = next(releases, "r-000000000000")
    return replace(
        seen,
        slashless=ask(bare, False) if bare else None,
        unknown=tuple(
            ask(f"{address.base}{folder}{token}.js", False) for folder in ("", f"{release}/")
        ),
        answers=_all(files, address, ask),
    )


def _all(files: tuple[Listed, ...], address: Address, ask: Ask) -> dict[str, Answer]:
    answers: dict[str, Answer] = {}
    missed = 0
    for listed in files:
        if missed >= _PATIENCE:
            answers[listed.path] = Answer(trouble="was not asked for any more")
            continue
        answer = ask(address.base + listed.path, False)
        missed = missed + 1 if answer.trouble else 0
        answers[listed.path] = answer
    return answers
