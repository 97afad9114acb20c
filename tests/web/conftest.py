"""Builds the phone app once, serves it, and opens it in a real Chromium of its own."""

from __future__ import annotations

import importlib.util
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from filelock import FileLock

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "browser")]

from hosts import Host, fake_build, program  # noqa: E402
from phone_driving import Phone, Site, chromium_path, put_demo  # noqa: E402

from pocketpump.web.build import Report, build  # noqa: E402

REQUIRED = os.environ.get("POCKETPUMP_REQUIRE_BROWSER") == "1"


def skip(reason: str) -> None:
    """Skip, or fail where nothing may be skipped."""
    if REQUIRED:
        pytest.fail(f"{reason} (POCKETPUMP_REQUIRE_BROWSER=1)", pytrace=False)
    pytest.skip(reason)


@pytest.fixture(scope="session")
def node() -> str:
    """The path of Node."""
    found = shutil.which("node")
    if found is None:
        skip("no Node on this machine")
    return str(found)


@pytest.fixture(scope="session")
def lighthouse() -> Path:
    """The script that starts Lighthouse."""
    if chromium_path() is None:
        skip("no Chromium on this machine")
    found = HERE / "lighthouse" / "node_modules" / "lighthouse" / "cli" / "index.js"
    if not found.is_file():
        skip("Lighthouse is not installed: npm ci --prefix tests/web/lighthouse")
    return found


def made_once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], None]) -> Path:
    """Return the folder ``name`` that ``make`` fills, shared by all workers of one run."""
    base = factory.getbasetemp()
    # With xdist each worker has a folder of its own in that of the run.
    whole_run = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder = whole_run / name
    with FileLock(whole_run / f"{name}.lock"):
        if not folder.exists():
            part = whole_run / f"{name}.part"
            part.mkdir()
            make(part)
            part.rename(folder)
    return folder


@pytest.fixture(scope="session")
def built(node: str, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The phone app with its snapshot, to be served at /."""
    return made_once(tmp_path_factory, "built", lambda at: build(at / "app")) / "app"


@pytest.fixture(scope="session")
def rebuilt(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A newer version, told by its words; without a snapshot, to be quick to build."""
    return made_once(tmp_path_factory, "rebuilt", build_newer) / "app"


def build_newer(folder: Path) -> None:
    """Build, from a changed copy of the package in ``folder``, the app in it."""
    source = Path(str(importlib.util.find_spec("pocketpump").origin)).parent
    package = folder / "pocketpump"
    shutil.copytree(source, package, ignore=shutil.ignore_patterns("__pycache__"))
    words = package / "app" / "shared_texts.py"
    text = words.read_text(encoding="utf-8")
    assert "PocketPump is a notebook" in text
    changed = text.replace("PocketPump is a notebook", "The newer PocketPump is a notebook")
    words.write_text(changed, encoding="utf-8")
    build(folder / "app", snapshot=False, package=package)


@pytest.fixture
def serve() -> Iterator[Callable[..., Site]]:
    """Serves a folder: ``serve(folder, base="/", port=0)``; all are stopped at the end."""
    sites: list[Site] = []

    def start(folder: Path, base: str = "/", port: int = 0) -> Site:
        sites.append(Site(folder, base, port))
        return sites[-1]

    yield start
    for site in sites:
        site.stop()


@pytest.fixture
def host(tmp_path: Path) -> Iterator[Callable[..., Host]]:
    """Starts a server by name, with a small build or what ``make`` builds; stops all at the end."""
    hosts: list[Host] = []

    def start(
        name: str, base: str, *, https: bool = False, make: Callable[[Path], Report] | None = None
    ) -> Host:
        if program(name) is None:
            skip(f"no {name} on this machine")
        folder = tmp_path / "build"
        report = make(folder) if make else fake_build(folder, base)
        hosts.append(Host(name, folder, report, base, https=https))
        return hosts[-1]

    yield start
    for one in hosts:
        one.stop()


@pytest.fixture(scope="module")
def playwright() -> Iterator[object]:
    """Playwright for one file of tests; its loop must end before another may begin."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        skip("the Python package playwright is not installed")
    if chromium_path() is None:
        skip("no Chromium on this machine")
    with sync_playwright() as running:
        yield running


@pytest.fixture
def phone(playwright, tmp_path: Path) -> Iterator[Phone]:
    """A browser with a profile of its own, which can be killed and opened again."""
    made = Phone(playwright, tmp_path / "profile")
    yield made
    made.close()


@pytest.fixture(scope="module")
def site(built: Path) -> Iterator[Site]:
    """The built app, served for one file of tests."""
    made = Site(built)
    yield made
    made.stop()


@pytest.fixture
def uncached(playwright, tmp_path: Path) -> Iterator[Phone]:
    """A phone that keeps no offline copy: what is blocked must not come out of it."""
    made = Phone(playwright, tmp_path / "profile", service_workers="block")
    yield made
    made.close()


@pytest.fixture
def used(uncached: Phone, site: Site) -> Phone:
    """Such a phone on which the app was used: the record is there, and the page's facts of it."""
    put_demo(uncached, site, facts=True)
    return uncached
