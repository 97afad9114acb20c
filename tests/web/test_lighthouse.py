"""Lighthouse finds nothing to say against the built phone app, speed aside."""

import json
import os
import subprocess
from pathlib import Path
from typing import Any

import pytest
from driving import FLAGS
from phone_driving import Site, chromium_path

pytestmark = pytest.mark.browser

CATEGORIES = ("accessibility", "best-practices", "seo", "pwa")


def found_wanting(report: dict[str, Any], category: str) -> list[str]:
    """Each audit that keeps a category below its best, with the first things it found."""
    found = []
    for reference in report["categories"][category]["auditRefs"]:
        audit = report["audits"][reference["id"]]
        error = audit.get("errorMessage")
        if reference["weight"] and (error or (audit["score"] is not None and audit["score"] < 1)):
            items = json.dumps(audit.get("details", {}).get("items", [])[:3])
            found.append(f"{category}: {audit['id']}: {error or audit['title']}: {items[:600]}")
    return found


def test_nothing_is_found_wanting(node: str, lighthouse: Path, site: Site, tmp_path: Path) -> None:
    out = tmp_path / "report.json"
    done = subprocess.run(
        [
            node, str(lighthouse), site.url,
            f"--only-categories={','.join(CATEGORIES)}", "--only-audits=network-requests",
            "--throttling-method=provided", "--disable-full-page-screenshot",
            "--no-enable-error-reporting", "--max-wait-for-load=120000", "--quiet",
            "--output=json", f"--output-path={out}",
            f"--chrome-flags={' '.join(['--headless=new', *FLAGS])}",
        ],
        env={**os.environ, "CHROME_PATH": str(chromium_path())},
        capture_output=True, text=True, check=False, timeout=400,
    )  # fmt: skip
    assert done.returncode == 0, (done.stdout + done.stderr)[-3000:]
    report = json.loads(out.read_text(encoding="utf-8"))
    asked = [item["url"] for item in report["audits"]["network-requests"]["details"]["items"]]
    # That script comes when the app is on the screen: not the page before it alone was judged.
    assert any(url.endswith("/device.js") for url in asked), asked
    wanting = [line for name in CATEGORIES for line in found_wanting(report, name)]
    assert wanting == [], "\n".join(wanting)
    scores = {name: report["categories"][name]["score"] for name in CATEGORIES}
    assert scores == dict.fromkeys(CATEGORIES, 1)
