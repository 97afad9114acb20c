"""What the pages in ``docs`` promise about files and packages is what the code does."""

import json
import re
import tomllib
from pathlib import Path

from pocketpump.exchange.backup import backup, backup_due, encrypted
from pocketpump.exchange.papers import attachment
from pocketpump.exchange.tables import tables

ROOT = Path(__file__).parents[2]


def test_every_dependency_is_listed_with_its_reason():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    page = (ROOT / "docs/dependencies.md").read_text()
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    wanted += json.loads((ROOT / "tests/web/lighthouse/package.json").read_text())["dependencies"]
    for requirement in wanted:
        name = re.match(r"[A-Za-z0-9_.-]+", requirement)[0]
        assert re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", page), name


def test_the_page_about_files_names_the_limits_and_what_fhir_leaves_out_is_said():
    page = (ROOT / "docs/file_formats.md").read_text()
    assert f"{backup.megabytes(backup.LARGEST)} MB" in page
    assert f"{backup.MOST_PARTS // 1_000_000} million values" in page
    assert f"{backup.megabytes(attachment.MOST_PAPERS)} MB of it" in page
    assert {tables.AT, tables.ZONE, tables.KIND, tables.WRITTEN, tables.ID, tables.REPLACES} <= set(
        re.findall("`([^`]+)`", page)
    )


def test_the_threat_model_names_the_figures_in_use():
    page = (ROOT / "docs/threat_model.md").read_text()
    assert f"{encrypted.ROUNDS:,} rounds" in page
    assert f"{backup_due.AFTER_DAYS} days or {backup_due.AFTER_ENTRIES} entries" in page


def test_every_file_that_the_pages_name_is_there():
    known = [
        str(path.relative_to(ROOT))
        for path in ROOT.rglob("*.*")
        if not {".venv", "node_modules"} & set(path.parts)
    ]
    pages = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")]
    named = {
        (page.name, file)
        for page in pages
        for file in re.findall(r"`([a-z_./-]+\.(?:py|js|mjs|toml|po))`", page.read_text())
    }
    assert len(named) > 50
    missing = {one for one in named if not any(f"/{path}".endswith(f"/{one[1]}") for path in known)}
    assert missing == set(), "moved or renamed"
