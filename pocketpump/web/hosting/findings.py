"""What is right and what is wrong with what a host answered: pure functions of the facts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import urljoin, urlsplit

from pocketpump.core.errors import shown
from pocketpump.web.hosting import rules
from pocketpump.web.hosting.fetch import Answer
from pocketpump.web.hosting.security_findings import policy_difference, sends
from pocketpump.web.hosting.visit import WORKER, Visit

_NAMED = 3
_YEAR_ENOUGH = 30 * 86_400


@dataclass(frozen=True, slots=True)
class Finding:
    """One line of the answer: what it is about, whether it is right, and in what it is not.

    ``paths`` are the files it is about. What ``breaks`` keeps the app from starting, from working
    offline or from being renewed.
    """

    about: str
    right: bool
    text: str
    paths: tuple[str, ...] = ()
    breaks: bool = False


def findings(seen: Visit) -> tuple[Finding, ...]:
    """Return everything that can be said of ``seen``, in the order of what depends on what."""
    if seen.untrusted:
        said = f"The certificate of the host is not trusted: {seen.untrusted}."
        return (Finding("https", False, said, breaks=True),)
    there = _there(seen)
    if not there.right:
        return (_https(seen), there)
    return (
        _https(seen), there, _base(seen), *_slash(seen), _files(seen), _types(seen),
        *_caching(seen), _compression(seen), _sizes(seen), *_security(seen), _unknown(seen),
    )  # fmt: skip


def _https(seen: Visit) -> Finding:
    if seen.address.is_private:
        how = "https" if seen.address.scheme == "https" else "this machine, which browsers trust"
        return Finding("https", True, f"The address is {how}.")
    said = "The address is not https: browsers give it no offline copy and no files for the record."
    return Finding("https", False, said, breaks=True)


def _there(seen: Visit) -> Finding:
    """Tell whether PocketPump is at the address at all."""
    about, url, page = "pocketpump", seen.address.url, seen.page
    if seen.says and seen.files:
        return Finding(about, True, f"PocketPump is at {url}, in {len(seen.files) + 1} files.")
    if page.trouble:
        said = f"The page at {url} {page.trouble}."
    elif 300 <= page.status < 400:
        onward = shown(page.header("location"), 100)
        said = f"{url} leads on to {onward}: check that address if it is yours."
    elif page.status != 200:
        said = f"There is no PocketPump at {url}: it answers {page.status}."
    elif not seen.says:
        said = f"There is no PocketPump at {url}: the page there is another one."
    elif seen.worker.status == 200 and not seen.worker.trouble:
        said = f"{url}{WORKER} is not the one of PocketPump, so nothing else can be checked."
    else:
        why = seen.worker.trouble or f"answers {seen.worker.status}"
        said = f"The page is there, but {url}{WORKER} {why}: it works neither offline nor here."
    return Finding(about, False, said, breaks=True)


def _base(seen: Visit) -> Finding:
    built = seen.says.base if seen.says else ""
    if built == seen.address.base:
        return Finding("base", True, f"It was built for {built}, where it is.")
    said = f"It was built for {shown(built, 80)} and is served at {seen.address.base}."
    return Finding("base", False, said, breaks=True)


def _slash(seen: Visit) -> list[Finding]:
    """Tell where the address without its last slash leads; nothing at the root."""
    answer = seen.slashless
    if answer is None:
        return []
    url = seen.address.url.rstrip("/")
    to = answer.header("location")
    try:
        leads = urljoin(url, to)
        home = answer.status in (301, 302, 307, 308) and bool(to) and leads == seen.address.url
        off = urlsplit(leads).netloc.lower() != seen.address.authority.lower()
    except ValueError:
        home, off = False, True
    if home:
        return [Finding("slash", True, f"{url} leads to {seen.address.url}.")]
    if 300 <= answer.status < 400:
        where = "another host or port, " if off else ""
        said = f"{url} leads to {where}{shown(to, 100)} instead of {seen.address.url}."
    else:
        why = answer.trouble or f"answers {answer.status}"
        said = f"{url} {why} instead of leading to {seen.address.url}."
    return [Finding("slash", False, said)]


def named(paths: Iterable[str]) -> str:
    """Return ``paths`` for a sentence: the first few, and how many more there are."""
    every = [path or "the page" for path in paths]
    more = len(every) - _NAMED
    return ", ".join(every[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def _came(seen: Visit) -> dict[str, Answer]:
    """Return the answers that brought a file."""
    every = seen.everything.items()
    return {path: one for path, one in every if one.status == 200 and not one.trouble}


def _files(seen: Visit) -> Finding:
    """Tell whether every file is there, and is the one that the service worker lists."""
    wrong: dict[str, str] = {}
    for listed in seen.files or ():
        answer = seen.answers[listed.path]
        if answer.trouble:
            wrong[listed.path] = answer.trouble
        elif 300 <= answer.status < 400:
            wrong[listed.path] = "is led elsewhere, where the offline copy cannot use it"
        elif answer.status != 200:
            wrong[listed.path] = f"answers {answer.status}"
        elif answer.sum != listed.sum:
            wrong[listed.path] = (
                "is sent with Content-Encoding, so browsers unpack what the app unpacks itself"
                if answer.sum_sent == listed.sum
                else "is another file than sw.js lists (half an upload, or changed on the way)"
            )
    if not wrong:
        return Finding("files", True, "Every file is the one that sw.js lists.")
    return Finding("files", False, _grouped(wrong), tuple(wrong), breaks=True)


def _grouped(wrong: Mapping[str, str]) -> str:
    """Return one sentence for each thing that is wrong, with the files it is wrong with."""
    by_what: dict[str, list[str]] = {}
    for path, what in wrong.items():
        by_what.setdefault(what, []).append(path)
    return " ".join(f"{named(paths)}: {what}." for what, paths in by_what.items())


def _types(seen: Visit) -> Finding:
    wrong, breaks = {}, False
    for path, answer in _came(seen).items():
        given = answer.header("content-type")
        name = path or "index.html"
        if not rules.is_right_type(name, given):
            right = rules.type_to_send(name).partition(";")[0]
            wrong[path] = f"sent as {shown(given) or 'nothing'} instead of {right}"
            breaks = breaks or rules.ending(name) in rules.NEEDED
    if not wrong:
        return Finding("types", True, "Every file is sent with its type.")
    return Finding("types", False, _grouped(wrong), tuple(wrong), breaks)


def _directives(answer: Answer) -> dict[str, str]:
    parts = answer.header("cache-control").lower().split(",")
    pairs = (part.strip().partition("=") for part in parts)
    return {name: value.strip('"') for name, _, value in pairs if name}


def _asks_anew(answer: Answer) -> bool:
    said = _directives(answer)
    return "no-store" not in said and ("no-cache" in said or said.get("max-age") == "0")


def _stays(answer: Answer) -> bool:
    said = _directives(answer)
    age = said.get("max-age", "")
    long = age.isdecimal() and int(age[:12]) >= _YEAR_ENOUGH
    return long and not {"no-store", "no-cache"} & said.keys()


def _caching(seen: Visit) -> list[Finding]:
    came = _came(seen)
    kinds: tuple[tuple[str, bool, Callable[[Answer], bool], str, str], ...] = (
        ("caching-fixed", False, _asks_anew, rules.ASK_ANEW,
         "The page, sw.js and the other fixed names are asked for anew each time."),
        ("caching-release", True, _stays, rules.FOR_EVER,
         "What is in the release's folder may be kept for ever."),
    )  # fmt: skip
    found = []
    for about, fixed, is_right, right, praise in kinds:
        wrong = {
            path: f"Cache-Control is {shown(answer.header('cache-control')) or 'not sent'}"
            f" instead of {right}"
            for path, answer in came.items()
            if rules.never_changes(path) == fixed and not is_right(answer)
        }
        said = _grouped(wrong) if wrong else praise
        found.append(Finding(about, not wrong, said, tuple(wrong)))
    return found


def _compression(seen: Visit) -> Finding:
    plain = {
        path: answer
        for path, answer in _came(seen).items()
        if rules.is_compressed(path or "index.html")
        and answer.size >= rules.WORTH_IT
        and answer.sent >= answer.size
    }
    if not plain:
        return Finding("compression", True, "What can be compressed comes compressed.")
    size = megabytes(sum(answer.size for answer in plain.values()))
    said = f"{named(plain)}: {size} come uncompressed."
    return Finding("compression", False, said, tuple(plain))


def megabytes(size: int) -> str:
    """Return ``size`` bytes for a sentence."""
    return f"{size / 1e6:.1f} MB"


def _sizes(seen: Visit) -> Finding:
    """Tell what a phone fetches, as it came."""
    came = _came(seen)
    snapshot = any("python/snapshot" in listed.path for listed in seen.files or ())
    first = sum(
        answer.sent
        for path, answer in came.items()
        if rules.is_first(path or "index.html", with_snapshot=snapshot) and path != "index.html"
    )
    late = {listed.path for listed in seen.files or () if listed.late}
    whole = sum(
        answer.sent
        for path, answer in came.items()
        if path != "index.html" and path not in late and rules.is_kept(path)
    )
    said = (
        f"The first visit takes {megabytes(first)}, {megabytes(whole)} in all until the app"
        " works offline."
    )
    return Finding("sizes", True, said)


def _security(seen: Visit) -> list[Finding]:
    came = _came(seen)
    policy = seen.says.policy if seen.says else ""
    headers = dict(rules.security(policy))
    del headers["Content-Security-Policy"]
    differs = {
        path: what for path, answer in came.items() if (what := policy_difference(answer, policy))
    }
    foreign = any(came[path].all("content-security-policy") for path in differs)
    praise = "The page's policy is sent with every file."
    found = [
        Finding("policy", not differs, _grouped(differs) if differs else praise, tuple(differs),
                breaks=foreign)
    ]  # fmt: skip
    for name, value in headers.items():
        lacking = tuple(path for path, answer in came.items() if not sends(answer, name, value))
        said = (
            f"{named(lacking)}: sent without {name}: {value}."
            if lacking
            else f"{name} is {value} with every file."
        )
        found.append(Finding(name.lower(), not lacking, said, lacking))
    return found


def _unknown(seen: Visit) -> Finding:
    wrong = [answer for answer in seen.unknown if answer.trouble or answer.status not in (404, 410)]
    if any(_stays(answer) for answer in seen.unknown):
        said = "A browser may keep for ever that a name is not there, also one that comes later."
        return Finding("unknown", False, said, breaks=True)
    if not wrong:
        return Finding("unknown", True, "Names that are not there answer 404.")
    why = wrong[0].trouble or f"answers {wrong[0].status} instead of 404"
    said = f"A name that is not there {why}: a file that is missing would not be noticed."
    return Finding("unknown", False, said, breaks=wrong[0].status == 200)
