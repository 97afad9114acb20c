"""What the browser does with the desktop's file: runs in Pyodide; see test_two_platforms.py."""

import json
import sys
from datetime import UTC, datetime
from pathlib import Path

from pocketpump.core.errors import PocketPumpError
from pocketpump.exchange.backup.backup import read_backup
from pocketpump.exchange.backup.cipher import platform_cipher
from pocketpump.exchange.backup.encrypted import make_backup, open_backup
from pocketpump.exchange.backup.import_preview import found_in
from pocketpump.record import to_document

work = Path("/mount0")
passphrase = (work / "passphrase").read_text("utf-8")
opened = await open_backup((work / "from-desktop.json").read_bytes(), passphrase)  # noqa: F704
again = await make_backup(opened.entries, datetime(2026, 3, 2, tzinfo=UTC), passphrase)  # noqa: F704
(work / "from-browser.json").write_bytes(again)
try:
    await open_backup(again, passphrase + "x")  # noqa: F704
    wrong = ""
except PocketPumpError as error:
    wrong = str(error)
# Nesting that would end this Python for good, were it taken apart.
deep = {}
for name in sorted(one.name for one in work.glob("deep-*")):
    data = (work / name).read_bytes()
    read = read_backup(data).entries if name.endswith(".json") else found_in({name[5:]: data})[0]
    deep[name] = [entry.id for entry in read]
told = {
    "deep": deep,
    "platform": sys.platform,
    "cipher": type(platform_cipher()).__name__,
    "wrong": wrong,
    "entries": [to_document(entry) for entry in opened.entries],
    "randoms": [platform_cipher().random(16).hex() for _ in range(3)],
    "desktop_cipher_loaded": "cryptography" in sys.modules,
}
(work / "told.json").write_text(json.dumps(told), "utf-8")
