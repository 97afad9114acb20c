"""Gather what the app says into its catalogues and compile them; run at development time.

    python tools/catalogue.py          # after any change of a sentence
    python tools/catalogue.py --check  # say what is missing, change nothing; exit status 1 if any

``pocketpump.pot`` holds every template that `message` and `plural_message` are called with; each
language's ``.po`` keeps its translations and gains the new templates, untranslated.
"""

import io
import sys
from datetime import UTC, datetime
from pathlib import Path

from babel.messages import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).parent.parent
LOCALE = ROOT / "pocketpump" / "exchange" / "locale"
KEYWORDS = {"message": (1,), "plural_message": (1, 2)}


def gathered() -> Catalog:
    """Return every template in the source, with where it stands."""
    template = Catalog(project="PocketPump", charset="utf-8", fuzzy=False)
    for file, _line, message, comments, _ in extract_from_dir(
        ROOT / "pocketpump", [("**.py", "python")], keywords=KEYWORDS, comment_tags=["Note:"]
    ):
        if message:
            # Without the line: a catalogue must not change whenever a line moves.
            template.add(message, locations=[(f"pocketpump/{file}", None)], auto_comments=comments)
    return template


def updated(code: str, template: Catalog) -> Catalog:
    """Return the catalogue of ``code`` with the template's messages, and no others."""
    path = po_of(code)
    old = read_po(io.BytesIO(path.read_bytes()), locale=code) if path.exists() else None
    catalogue = old or Catalog(locale=code, project="PocketPump", charset="utf-8", fuzzy=False)
    catalogue.update(template, no_fuzzy_matching=True, update_header_comment=False)
    catalogue.obsolete.clear()
    return catalogue


def po_of(code: str) -> Path:
    """Return where the translations of ``code`` are kept."""
    return LOCALE / code / "LC_MESSAGES" / "pocketpump.po"


def written(catalogue: Catalog) -> bytes:
    """Return a catalogue as a ``.po`` file, always in the same order and without a date."""
    buffer = io.BytesIO()
    write_po(buffer, catalogue, sort_output=True, width=100, include_lineno=False)
    lines = buffer.getvalue().decode().splitlines(keepends=True)
    dated = ('"POT-Creation-Date', '"PO-Revision-Date', '"Last-Translator', '"Language-Team')
    return "".join(line for line in lines if not line.startswith(dated)).encode()


def compiled(catalogue: Catalog) -> bytes:
    """Return a catalogue as gettext reads it."""
    # Otherwise the header has the minute of the compiling, and no two files are equal.
    catalogue.creation_date = catalogue.revision_date = datetime(2026, 1, 1, tzinfo=UTC)
    buffer = io.BytesIO()
    write_mo(buffer, catalogue)
    return buffer.getvalue()


def main() -> int:
    """Write or check everything; return the exit status."""
    template = gathered()
    files = {LOCALE / "pocketpump.pot": written(template)}
    missing = 0
    for folder in sorted(path for path in LOCALE.iterdir() if path.is_dir()):
        catalogue = updated(folder.name, template)
        bare = [message.id for message in catalogue if message.id and not message.string]
        missing += len(bare)
        print(f"{folder.name}: {len(catalogue)} messages, {len(bare)} untranslated")
        po = written(catalogue)
        files[po_of(folder.name)] = po
        again = read_po(io.BytesIO(po), locale=folder.name)
        files[po_of(folder.name).with_suffix(".mo")] = compiled(again)
    stale = [path for path, data in files.items() if not path.exists() or path.read_bytes() != data]
    if "--check" in sys.argv:
        print("\n".join(f"not up to date: {path.relative_to(ROOT)}" for path in stale))
        return 1 if stale or missing else 0
    for path in stale:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(files[path])
    return 0


if __name__ == "__main__":
    sys.exit(main())
