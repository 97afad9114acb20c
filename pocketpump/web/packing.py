"""Gathers the Python side of the web build and packs it into reproducible archives.

Everything comes from the installed environment, so a build needs no network. The archives
are *stored* zips: Python imports from them without unpacking, the transfer is compressed
once by the server, and nothing in them depends on the day or the machine of the build.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Mapping
from importlib import metadata
from pathlib import Path, PurePosixPath

#: What the app needs at run time, beside the standard library. All of it is pure Python
#: (msgpack brings its own pure fallback), so the installed copies run in Pyodide as well.
DISTRIBUTIONS = (
    "flet",
    "repath",
    "six",
    "msgpack",
    "pint",
    "flexparser",
    "flexcache",
    "platformdirs",
    "typing_extensions",
    "tinydb",
    "python-dateutil",
    "segno",
)
#: What makes pages to print: an archive of its own, which comes when the app is up.
PAPERS = ("fpdf2", "fonttools", "defusedxml", "arabic-reshaper")

#: Parts of these packages the app never imports: desktop, server, tests, bulky data.
LEFT_OUT = (
    "arabic_reshaper/__main__.py",
    "defusedxml/xmlrpc.py",
    "flet/cli.py",
    "flet/fastapi/",
    "flet/pytest_plugin.py",
    "flet/testing/",
    "flet/controls/cupertino/cupertino_icons.json",
    "dateutil/zoneinfo/",
    "fontTools/__main__.py",
    "fontTools/afmLib.py",
    "fontTools/cu2qu/",
    "fontTools/diff/",
    "fontTools/feaLib/builder.py",
    "fontTools/feaLib/lexer.py",
    "fontTools/feaLib/parser.py",
    "fontTools/help.py",
    "fontTools/merge/",
    "fontTools/mtiLib/",
    "fontTools/qu2cu/",
    "fontTools/t1Lib/",
    "fontTools/tfmLib.py",
    "fontTools/ttx.py",
    "fontTools/ufoLib/",
    "fontTools/varLib/avar",
    "fontTools/varLib/interpol",
    "fontTools/varLib/plot.py",
    "fontTools/voltLib/",
    "fonttools-",
    "fpdf/data/",
    "pint/testsuite/",
    "pint/default_en.txt",
    "pint/constants_en.txt",
    "pint/xtranslated.txt",
    "segno/cli.py",
    "segno/helpers.py",
    "tzdata/zoneinfo/iso3166.tab",
    "tzdata/zoneinfo/leapseconds",
    "tzdata/zoneinfo/tzdata.zi",
    "tzdata/zoneinfo/zone",  # zone.tab, zone1970.tab, zonenow.tab
)

_NEVER = {".so", ".pyd", ".pyi", ".pyx", ".c", ".h", ".pyc", ".exe", ".dll", ".dylib",
          ".po", ".pot"}  # fmt: skip
_EPOCH = (1980, 1, 1, 0, 0, 0)


def distribution_files(name: str) -> dict[str, bytes]:
    """Return the files of one installed distribution, keyed by their path in the archive.

    Compiled parts, stubs and console scripts are left out. ``METADATA`` is kept, because
    some packages ask for their own version while they are imported.
    """
    found: dict[str, bytes] = {}
    for entry in metadata.distribution(name).files or ():
        path = str(PurePosixPath(entry))
        if path.startswith("..") or entry.suffix in _NEVER or "__pycache__" in entry.parts:
            continue
        if ".dist-info/" in path and entry.name != "METADATA":
            continue
        if any(path == skip or path.startswith(skip) for skip in LEFT_OUT):
            continue
        found[path] = Path(str(entry.locate())).read_bytes()
    return found


def package_files(folder: Path, leave_out: Iterable[str] = ()) -> dict[str, bytes]:
    """Return the files of the package in ``folder``, keyed by ``package/…`` paths.

    ``leave_out`` names files or folders (with a trailing slash) relative to the package.
    """
    skips = tuple(leave_out)
    found: dict[str, bytes] = {}
    for path in sorted(folder.rglob("*")):
        inside = path.relative_to(folder)
        if not path.is_file() or "__pycache__" in inside.parts or path.suffix in _NEVER:
            continue
        text = inside.as_posix()
        if any(text == skip or text.startswith(skip) for skip in skips):
            continue
        found[f"{folder.name}/{text}"] = path.read_bytes()
    return found


def stored_zip(files: Mapping[str, bytes]) -> bytes:
    """Pack ``files`` into an uncompressed zip whose bytes depend on nothing else.

    Equal and like files stand beside each other (half the time zones are other names of
    the rest), where the compression of the transfer can see them.
    """
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files, key=lambda name: (len(files[name]), files[name], name)):
            info = zipfile.ZipInfo(name, _EPOCH)
            info.create_system = 3
            info.external_attr = 0o100644 << 16
            archive.writestr(info, files[name])
    return buffer.getvalue()


def with_bytecode(sources: Mapping[str, bytes], bytecode: Mapping[str, bytes]) -> dict[str, bytes]:
    """Replace every ``x.py`` in ``sources`` by the ``x.pyc`` compiled from it.

    The legacy place (beside where the source was) is the one a zip import looks at.
    """
    packed: dict[str, bytes] = {}
    for name, data in sources.items():
        compiled = bytecode.get(name + "c")
        if compiled is None:
            packed[name] = data
        else:
            packed[name + "c"] = compiled
    return packed


def python_side(app: Mapping[str, bytes]) -> dict[str, dict[str, bytes]]:
    """Return the files of each archive: "site" (the app), "tz" and "papers".

    Time zones are apart because the app asks for the person's own zone at every start,
    and for almost nothing else once the memory snapshot is in.
    """
    site: dict[str, bytes] = {}
    for name in DISTRIBUTIONS:
        site.update(distribution_files(name))
    site.update(app)
    papers: dict[str, bytes] = {}
    for name in PAPERS:
        papers.update(distribution_files(name))
    zones = {
        path: data
        for path, data in distribution_files("tzdata").items()
        if path.startswith("tzdata/")
    }
    return {"site": site, "tz": zones, "papers": papers}
