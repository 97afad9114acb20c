"""In what the security headers of one answer differ from those of the build."""

from __future__ import annotations

from pocketpump.app.server.content_policy import framed_nowhere
from pocketpump.core.errors import shown
from pocketpump.web.hosting.fetch import Answer
from pocketpump.web.hosting.rules import lasting

Rules = dict[str, frozenset[str]]


def _rules(policy: str) -> Rules:
    """Return a policy's directives; of two with one name the first counts, as in browsers."""
    found: Rules = {}
    for directive in policy.split(";"):
        name, *values = directive.split()[:100] or [""]
        if name:
            found.setdefault(name.lower(), frozenset(values))
    return found


def policy_difference(answer: Answer, page: str) -> str:
    """Return in what the policy of ``answer`` is not that of the ``page``; nothing if it is one.

    It may name the page's scripts or leave them to the page. Several policies hold all at once,
    so each must be right.
    """
    sent = [part for value in answer.all("content-security-policy") for part in value.split(",")]
    if not sent:
        return "sent without Content-Security-Policy"
    wanted = _rules(framed_nowhere(lasting(page)))
    exact = _rules(framed_nowhere(page))
    for policy in sent:
        given = _rules(policy)
        if given == exact:
            continue
        names = [name for name in {**wanted, **given} if wanted.get(name) != given.get(name)]
        if names:
            return f"Content-Security-Policy is not this build's, in {shown(', '.join(names), 80)}"
    return ""


def sends(answer: Answer, name: str, value: str) -> bool:
    """Tell whether ``answer`` has the header ``name`` with ``value`` and no other."""
    return {one.strip().lower() for one in answer.header(name.lower()).split(",")} == {value}
