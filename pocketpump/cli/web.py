"""``pocketpump web``: build the phone app into a folder, serve it, or check one on a host."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pocketpump.cli.options import Clock, add_json, add_option, add_shared, whole
from pocketpump.cli.output import WrongFoundError, to_json
from pocketpump.core.errors import InputError

if TYPE_CHECKING:
    from pocketpump.web.build import Report

_DEFAULT_PORT = 8378
_LARGEST = 12
_FOLDER = "/srv/pocketpump"


def add_parser(subparsers: Any) -> None:
    """Add the command to the main parser."""
    parser = subparsers.add_parser(
        "web",
        help="build the phone app as a folder of static files, or check one on a host",
        description="Build the app that runs in a phone's browser, offline, into a folder that"
        " any file server can serve, and settings for servers into OUT-hosting beside it; nothing"
        " is fetched from the network. Or look, with --check, whether a host serves it right.",
    )
    parser.add_argument("out", metavar="OUT", nargs="?",
                        help="the folder; an earlier build is replaced")  # fmt: skip
    add_option(parser, "--base-url", str, "path at which the folder will be served, such as"
               " /pump/", default="/")  # fmt: skip
    add_option(parser, "--host-folder", str, "where the files will be on the host, for the"
               f" settings (default {_FOLDER})", default=_FOLDER)  # fmt: skip
    parser.add_argument("--no-snapshot", action="store_true",
                        help="build without Node; the app then starts more slowly")  # fmt: skip
    parser.add_argument("--serve", action="store_true", help="then serve it on 127.0.0.1")
    add_shared(parser, "--port", whole(0, 65_535), f"port for --serve (default {_DEFAULT_PORT})",
               default=_DEFAULT_PORT)  # fmt: skip
    parser.add_argument("--host", metavar="ADDRESS", help="for --serve --https: the address of"
                        " this machine in the phone's network")  # fmt: skip
    parser.add_argument("--https", action="store_true", help="for --serve: use https, with a"
                        " certificate made on the spot")  # fmt: skip
    parser.add_argument("--check", metavar="URL", help="build nothing: visit the app at URL, and"
                        " say what is right or wrong (then: exit status 1)")  # fmt: skip
    add_json(parser)
    parser.set_defaults(run=run)


def run(args: argparse.Namespace, _clock: Clock) -> str:
    """Build, and return the table of sizes; with ``--serve``, print it and serve until Ctrl-C.

    With ``--check``, print what was found; the exit status is 1 if anything is wrong. Raises
    `InputError` for options that do not belong together.
    """
    if args.check is not None:
        return _check(args)
    if args.json:
        raise InputError("--json belongs to --check: leave it out.")
    if args.out is None:
        raise InputError("Name the folder to build into, or an address with --check.")
    if (args.https or args.host is not None) and not args.serve:
        raise InputError("--https and --host belong to --serve: add it, or leave them out.")
    if args.host is not None and not args.https:
        raise InputError("A phone keeps the app over https alone: add --https to --host.")
    # Building needs modules that no other command does.
    from pocketpump.web import python_runtime
    from pocketpump.web.build import build
    from pocketpump.web.hosting import beside
    from pocketpump.web.serve import HERE, checked_host

    host = HERE if args.host is None else checked_host(args.host)
    notes = []
    if not args.no_snapshot and python_runtime.node() is None:
        notes.append("Node was not found, so this is a build without a snapshot:"
                     " it works the same but starts more slowly.")  # fmt: skip
    out = Path(args.out)
    settings, folder = beside.beside(out), beside.checked_folder(args.host_folder)
    beside.check_replaceable(settings)
    report = build(out, base_url=args.base_url, snapshot=not args.no_snapshot)
    beside.write(settings, beside.place_of(out, report, folder), out)
    notes.append(f"How to put it on a host: {settings / beside.UPLOAD}")
    text = "\n".join([size_table(report), *notes])
    if not args.serve:
        return text
    print(text)
    _serve(out, args.base_url, args.port, host, args.https)
    return ""


def size_table(report: "Report") -> str:
    """Return the sizes of what was built: the largest files, the whole, and the first download."""
    largest = sorted(report.files.items(), key=lambda item: -item[1])
    rows = [*largest[:_LARGEST]]
    rest = largest[_LARGEST:]
    rows.append((f"{len(rest)} other files", sum(size for _, size in rest)))
    rows.append(("all files", sum(report.files.values())))
    rows.append(("first visit, gzip -9", report.first_download_gzip))
    rows.append(("all until it works offline, gzip -9", report.offline_gzip))
    width = max(len(name) for name, _ in rows)
    return "\n".join(f"{name:<{width}}  {size:>12,} bytes" for name, size in rows)


def _check(args: argparse.Namespace) -> str:
    from pocketpump.web.hosting import told
    from pocketpump.web.hosting.address import parse_address

    given = (args.out, args.host, args.base_url, args.host_folder) != (None, None, "/", _FOLDER)
    if given or args.serve or args.https or args.no_snapshot:
        raise InputError("--check builds and serves nothing: give the address alone, or --json.")
    seen = told.look(parse_address(args.check))
    if args.json:
        values, right = told.as_values(seen)
        text = to_json(values)
    else:
        text, right = told.as_text(seen)
    if right:
        return text
    raise WrongFoundError(text)


def _serve(out: Path, base_url: str, port: int, host: str, https: bool) -> None:
    from pocketpump.web.serve import make_server

    context, digest = None, ""
    if https:
        from pocketpump.web.hosting.certificate import https_context

        context, digest = https_context(host)
    with make_server(out, port, base=base_url, host=host, context=context) as server:
        shown = f"[{host}]" if ":" in host else host
        scheme = "https" if https else "http"
        address = f"{scheme}://{shown}:{server.server_address[1]}{base_url}"
        print(f"The phone app is at {address}  (Ctrl-C ends it)", flush=True)
        if https:
            _tell_phone(address, digest)
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            return


def _tell_phone(address: str, digest: str) -> None:
    """Print the address as a code to scan, and what the phone will say of the certificate."""
    import segno

    code = segno.make_qr(address, error="m")
    for row in code.matrix_iter(border=2):
        # Two spaces are about a square; the colours are set, for many terminals are dark.
        print("".join("\x1b[40m  " if module else "\x1b[107m  " for module in row) + "\x1b[0m")
    print(_WARNING.format(digest=digest), flush=True)


_WARNING = """\
Scan the code with a phone in the same network. The phone will warn that the connection is not
private: nobody vouches for a certificate that was made here just now. It is yours if its SHA-256 is
{digest}
and then you may go on. Behind such a warning browsers keep no offline copy, and what is noted here
stays at this address. So this is for trying; for real use, put the app on a host with a certificate
(docs/deploy.md)."""
