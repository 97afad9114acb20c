"""What the pages in ``docs`` promise about files and packages is what the code does."""

import re
import tomllib
from pathlib import Path

from pocketpump.exchange import locked, reminder

ROOT = Path(__file__).parents[2]


def test_every_dependency_is_listed_with_its_reason():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    page = (ROOT / "docs/dependencies.md").read_text()
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    for requirement in wanted:
        name = re.match(r"[A-Za-z0-9_.-]+", requirement)[0]
        assert re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", page), name


def test_the_threat_model_names_the_figures_in_use():
    page = (ROOT / "docs/threat_model.md").read_text()
    assert f"{locked.ROUNDS:,} rounds" in page
    assert f"{reminder.AFTER_DAYS} days or {reminder.AFTER_ENTRIES} entries" in page
