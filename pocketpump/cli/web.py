"""``pocketpump web``: build the static phone app into a folder, and serve it if asked."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pocketpump.cli.options import Clock, add_option, add_shared, whole

if TYPE_CHECKING:
    from pocketpump.web.build import Report

_DEFAULT_PORT = 8378
_LARGEST = 12


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "web",
        help="build the phone app as a folder of static files",
        description="Build the app that runs in a phone's browser, offline, into a folder that"
        " any file server can serve. Nothing is fetched from the network.",
    )
    parser.add_argument("out", metavar="OUT", help="the folder; an earlier build is replaced")
    add_option(parser, "--base-url", str, "path at which the folder will be served, such as"
               " /pump/", default="/")  # fmt: skip
    parser.add_argument("--no-snapshot", action="store_true",
                        help="build without Node; the app then starts more slowly")  # fmt: skip
    parser.add_argument("--serve", action="store_true", help="then serve it on 127.0.0.1")
    add_shared(parser, "--port", whole(0, 65_535), f"port for --serve (default {_DEFAULT_PORT})",
               default=_DEFAULT_PORT)  # fmt: skip
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, _clock: Clock) -> str:
    """Build, and return the table of sizes; with ``--serve``, print it and serve until Ctrl-C."""
    # Building needs modules that no other command does.
    from pocketpump.web import python_runtime
    from pocketpump.web.build import build

    notes = []
    if not args.no_snapshot and python_runtime.node() is None:
        notes.append("Node was not found, so this is a build without a snapshot:"
                     " it works the same but starts more slowly.")  # fmt: skip
    out = Path(args.out)
    report = build(out, base_url=args.base_url, snapshot=not args.no_snapshot)
    text = "\n".join([size_table(report), *notes])
    if not args.serve:
        return text
    print(text)
    _serve(out, args.base_url, args.port)
    return ""


def size_table(report: "Report") -> str:
    """Return the sizes of what was built: the largest files, the whole, and the first download."""
    largest = sorted(report.files.items(), key=lambda item: -item[1])
    rows = [*largest[:_LARGEST]]
    rest = largest[_LARGEST:]
    rows.append((f"{len(rest)} other files", sum(size for _, size in rest)))
    rows.append(("all files", sum(report.files.values())))
    rows.append(("first visit, gzip -9", report.first_download_gzip))
    width = max(len(name) for name, _ in rows)
    return "\n".join(f"{name:<{width}}  {size:>12,} bytes" for name, size in rows)


def _serve(out: Path, base_url: str, port: int) -> None:
    from pocketpump.web.serve import make_server

    with make_server(out, port, base=base_url) as server:
        print(f"The phone app is at http://127.0.0.1:{server.server_address[1]}{base_url}"
              "  (Ctrl-C ends it)", flush=True)  # fmt: skip
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            return
