"""How fast the phone app starts, beside the same app in flet-web's own layout.

Run by hand: ``python tests/bench/bench_web.py [ROUNDS]``. Builds both, then opens them in
turn, so that a busy machine slows both alike, and prints medians in milliseconds.
"""

import io
import shutil
import statistics
import sys
import tarfile
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent / name) for name in ("web", "browser")]

from flet.controls.types import RouteUrlStrategy, WebRenderer  # noqa: E402
from flet_web import get_package_web_dir, patch_index_html  # noqa: E402
from flet_web.patch_index import patch_font_manifest_json  # noqa: E402
from phone_driving import Phone, Site, offline_ready, put_demo, wait_for  # noqa: E402
from playwright.sync_api import sync_playwright  # noqa: E402

import pocketpump  # noqa: E402
from pocketpump.web import packing  # noqa: E402
from pocketpump.web.build import DESKTOP_ONLY, build  # noqa: E402

# The stock layout knows no private files and no glance; it shows the same first screen.
STOCK_MAIN = """
import datetime
import flet as ft
from pocketpump.app.main import tab
from pocketpump.app.services import Services
from pocketpump.record import MemoryFiles, Record

def now():
    return datetime.datetime.now(datetime.timezone.utc)

ft.run(tab(Services(Record.open(MemoryFiles(), clock=now), now, "UTC")))
"""
SEEN = """(() => {
  const look = () => {
    document.querySelector('flt-semantics-placeholder')?.click();
    const text = document.querySelector('flt-semantics-host')?.textContent || '';
    if (text.includes('Welcome') || text.includes('refill-by')) {
      window.__usable = performance.now();
    } else setTimeout(look, 20);
  };
  look();
})()"""


def build_stock(out: Path) -> None:
    """Lay out the app as flet-web does, with its packages in the archive."""
    shutil.copytree(get_package_web_dir(), out)
    patch_index_html(
        str(out / "index.html"), "/", app_name="Stock", pyodide=True,
        pyodide_script_path="main.py", pyodide_version="314.0.7", app_package_url="app.tar.gz",
        web_renderer=WebRenderer.CANVAS_KIT, route_url_strategy=RouteUrlStrategy.HASH,
        no_cdn=True,
    )  # fmt: skip
    page = out / "index.html"
    # As written it is a bare module name, which a worker cannot load.
    page.write_text(page.read_text().replace('"pyodide/pyodide.mjs"', '"/pyodide/pyodide.mjs"'))
    patch_font_manifest_json(str(out / "assets" / "FontManifest.json"))
    app = packing.package_files(Path(pocketpump.__file__).parent, DESKTOP_ONLY)
    archives = packing.python_side(app).values()
    with tarfile.open(out / "app.tar.gz", "w:gz") as archive:
        files = {f"__pypackages__/{n}": data for part in archives for n, data in part.items()}
        for name, data in {"main.py": STOCK_MAIN.encode(), **files}.items():
            info = tarfile.TarInfo(name)
            info.size = len(data)
            archive.addfile(info, io.BytesIO(data))


def visit(phone: Phone, url: str) -> tuple[dict[str, float], object]:
    """Open the app and return when the first screen could be read and the glance was painted."""
    page = phone.page()
    page.add_init_script(SEEN)
    page.goto(url, wait_until="commit")
    wait_for(page, "window.__usable", "something to be used", 120)
    times = page.evaluate(
        """() => ({app: window.__usable, ...Object.fromEntries(performance
             .getEntriesByName('first-contentful-paint').map(m => ['glance', m.startTime]))})"""
    )
    return times, page


BARE = """<!doctype html><html lang="en"><title>Bare</title>{body}
<script>navigator.serviceWorker.register("sw.js");
setTimeout(() => {{ window.__usable = 1; }}, 1000);</script></html>"""
BARE_WORKER = """addEventListener("install", (e) => e.waitUntil(
caches.open("bare").then((cache) => cache.add("./"))));
addEventListener("activate", (e) => e.waitUntil(clients.claim()));
addEventListener("fetch", (e) => e.respondWith(caches.match(e.request)));"""


PARAGRAPH = "<p>90 days to refill-by</p>"


def lay_bare(out: Path, body: str) -> None:
    """Lay out a page of ``body`` that is there without a network, with as little as it takes."""
    out.mkdir()
    (out / "index.html").write_text(BARE.format(body=body))
    (out / "sw.js").write_text(BARE_WORKER)


def same_body(playwright, folder: Path) -> str:
    """What our glance shows of the demo's record, as plain HTML: the best a page could do."""
    site, profile = Site(folder), Path(tempfile.mkdtemp())
    phone = Phone(playwright, profile)
    put_demo(phone, site)
    _, page = visit(phone, site.url)
    body = page.evaluate(
        "document.querySelector('style').outerHTML + (glance.takeBack('opening'),"
        " document.getElementById('glance').outerHTML)"
    )
    assert "refill-by" in body
    phone.close()
    site.stop()
    shutil.rmtree(profile, ignore_errors=True)
    return str(body)


def measure_bare(playwright, folder: Path, found: dict[str, list[float]]) -> None:
    """Open a bare page as often as ours, online first and then offline like ours."""
    site, profile = Site(folder), Path(tempfile.mkdtemp())
    phone = Phone(playwright, profile)
    for number in range(4):
        times, page = visit(phone, site.url)
        if number == 0:
            offline_ready(page)
            site.stop()
        else:
            found.setdefault(f"{folder.name} offline glance", []).append(times["glance"])
        time.sleep(1)
        phone.close()
    shutil.rmtree(profile, ignore_errors=True)


def measure_glance(playwright, folder: Path, found: dict[str, list[float]]) -> None:
    """Open ours with the demo's record, once online and then offline."""
    site, profile = Site(folder), Path(tempfile.mkdtemp())
    phone = Phone(playwright, profile)
    put_demo(phone, site)
    for number in range(4):
        times, page = visit(phone, site.url)
        for name, value in times.items() if number else ():
            found.setdefault(f"demo record offline {name}", []).append(value)
        if number == 0:
            offline_ready(page)
            site.stop()
        time.sleep(1)
        phone.close()
    shutil.rmtree(profile, ignore_errors=True)


def measure(playwright, folder: Path, *, ours: bool, found: dict[str, list[float]]) -> None:
    """One first visit and three later ones, each in a freshly started browser."""
    kind = "ours" if ours else "stock"
    site = Site(folder)
    profile = Path(tempfile.mkdtemp())
    phone = Phone(playwright, profile)
    for number in range(4):
        times, page = visit(phone, site.url)
        when = ("first", "second", "later", "later")[number]
        for name, value in times.items():
            found.setdefault(f"{kind} {when} {name}", []).append(value)
        if ours and number == 0:
            offline_ready(page)
            site.stop()
        time.sleep(1)
        phone.close()
    site.stop()
    shutil.rmtree(profile, ignore_errors=True)


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    found: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        ours, stock = Path(folder, "ours"), Path(folder, "stock")
        bare, same = Path(folder, "bare page"), Path(folder, "bare page of the same text")
        report = build(ours)
        build_stock(stock)
        lay_bare(bare, PARAGRAPH)
        lay_bare(same, same_body(playwright, ours))
        for _ in range(rounds):
            measure(playwright, stock, ours=False, found=found)
            measure(playwright, ours, ours=True, found=found)
            measure_bare(playwright, bare, found)
            measure_bare(playwright, same, found)
            measure_glance(playwright, ours, found)
    medians = {name: statistics.median(values) for name, values in found.items()}
    for name, median in medians.items():
        other = medians.get(name.replace("ours", "stock"))
        ratio = f"  {median / other:.2f} x stock" if name.startswith("ours") and other else ""
        if name == "demo record offline glance":
            ratio = "".join(
                f"  {median / medians[f'{other} offline glance']:.2f} x {other}"
                for other in (bare.name, same.name)
            )
        print(f"{name:<42}{median:8.0f} ms{ratio}   {[round(value) for value in found[name]]}")
    print(f"first visit's download, gzip -9: {report.first_download_gzip:,} bytes")


if __name__ == "__main__":
    main()
