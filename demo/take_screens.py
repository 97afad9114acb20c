"""Take the pictures of the README from the demo, in a real Chromium.

Run ``python demo/take_screens.py`` after a change that shows; needs the test packages and
a Chromium on the machine. Writes ``assets/screens/*.png``.
"""

import shutil
import subprocess
import sys
import time
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

PORT = 8399
SCREENS = Path(__file__).parents[1] / "assets" / "screens"
PHONE = {"width": 390, "height": 844}
DESKTOP = {"width": 1280, "height": 800}
SHOTS = [
    ("today", "/today", PHONE, "light"),
    ("today-dark", "/today", PHONE, "dark"),
    ("refills", "/refills", PHONE, "light"),
    ("refill", "/refill", PHONE, "light"),
    ("doses", "/doses", PHONE, "light"),
    ("today-desktop", "/today", DESKTOP, "light"),
]
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run"]


def take(page: Page, address: str, name: str, route: str) -> None:
    """Show one route and keep its picture."""
    page.goto(f"{address}#{route}")
    page.locator("flt-semantics-host flt-semantics").first.wait_for(state="attached")
    page.wait_for_timeout(1_500)
    page.screenshot(path=SCREENS / f"{name}.png")


def main() -> None:
    """Serve the demo, take every picture, stop."""
    SCREENS.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "pocketpump", "demo", "--no-browser", "--port", str(PORT)]
    demo = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert demo.stdout is not None
        address = demo.stdout.readline().split()[3]  # it holds the key of this start
        time.sleep(1)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"), args=FLAGS
            )
            for name, route, size, scheme in SHOTS:
                page = browser.new_page(viewport=size, color_scheme=scheme)
                take(page, address, name, route)
                page.close()
            browser.close()
    finally:
        demo.terminate()
        demo.wait()


if __name__ == "__main__":
    main()
