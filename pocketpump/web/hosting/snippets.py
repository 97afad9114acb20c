"""Settings for nginx, Caddy, Apache and hosts with a header file: ready to use, to the letter."""

from __future__ import annotations

import re
from dataclasses import dataclass

from pocketpump.web.hosting.rules import ASK_ANEW, COMPRESSED, FOR_EVER, TYPES, security

_RELEASES = "r-[0-9a-f]+/"
_LEVEL = 6
_SMALLEST = 1024


@dataclass(frozen=True, slots=True)
class Place:
    """Where the app will be served: the URL's path, the page's policy, the folder on the host.

    ``release`` is the name of the release's folder, ``names`` are all files of the build.
    """

    base: str
    policy: str
    folder: str
    release: str
    names: tuple[str, ...]

    @property
    def slashless(self) -> str:
        """The base without its last slash; nothing at the root."""
        return self.base.rstrip("/")


def _bare(of: str) -> str:
    return TYPES[of].partition(";")[0]


def _types() -> dict[str, list[str]]:
    """Return each type with the endings, without dots, that have it."""
    found: dict[str, list[str]] = {}
    for of in TYPES:
        if of:
            found.setdefault(_bare(of), []).append(of[1:])
    return found


def _to_compress() -> list[str]:
    return list(dict.fromkeys(map(_bare, COMPRESSED)))


def nginx(place: Place) -> str:
    """Return what goes into a ``server { … }`` block."""
    types = "\n".join(f"        {kind} {' '.join(of)};" for kind, of in _types().items())
    gzip_types = " ".join(kind for kind in _to_compress() if kind != "text/html")
    headers = "\n".join(
        f'    add_header {name} "{value}" always;' for name, value in security(place.policy)
    )
    redirect = (
        f"location = {place.slashless} {{\n    absolute_redirect off;\n"
        f"    return 301 {place.base};\n}}\n"
        if place.slashless
        else ""
    )
    return f"""\
# PocketPump at {place.base} with nginx. Put this line into your server {{ … }} block:
#     include /etc/nginx/pocketpump.conf;
{redirect}location {place.base} {{
    alias "{place.folder}/";
    index index.html;
    types {{
{types}
    }}
    default_type text/plain;
    charset utf-8;
    charset_types text/javascript text/plain;
    gzip on;
    gzip_vary on;
    gzip_proxied any;
    gzip_comp_level {_LEVEL};
    gzip_min_length {_SMALLEST};
    gzip_types {gzip_types};
    set $pocketpump_cache "{ASK_ANEW}";
    if ($uri ~ "^{re.escape(place.base)}{_RELEASES}") {{
        set $pocketpump_cache "{FOR_EVER}";
    }}
    add_header Cache-Control $pocketpump_cache;
{headers}
}}
"""


def caddy(place: Place) -> str:
    """Return what goes into a site's block of a Caddyfile."""
    headers = "\n".join(f'        {name} "{value}"' for name, value in security(place.policy))
    types = "\n".join(
        f"    @pocketpump_{number} path {' '.join(f'*.{of}' for of in endings)}\n"
        f'    header @pocketpump_{number} Content-Type "{TYPES["." + endings[0]]}"'
        for number, endings in enumerate(_types().values())
    )
    compress = "\n".join(f"            header Content-Type {kind}*" for kind in _to_compress())
    redirect = f"redir {place.slashless} {place.base} 301\n" if place.slashless else ""
    return f"""\
# PocketPump at {place.base} with Caddy. Put this line into your site's block:
#     import /etc/caddy/pocketpump.caddy
{redirect}handle_path {place.base}* {{
    root * "{place.folder}"
    @pocketpump_plain path_regexp /[^./]+$
    header @pocketpump_plain Content-Type "{TYPES[""]}"
{types}
    header {{
{headers}
    }}
    @pocketpump_fixed not path_regexp ^/{_RELEASES}
    header @pocketpump_fixed Cache-Control "{ASK_ANEW}"
    @pocketpump_release {{
        path_regexp ^/{_RELEASES}
        file
    }}
    header @pocketpump_release Cache-Control "{FOR_EVER}"
    encode {{
        gzip {_LEVEL}
        minimum_length {_SMALLEST}
        match {{
{compress}
        }}
    }}
    file_server
}}
"""


def apache(place: Place) -> str:
    """Return what goes into a ``<VirtualHost>``."""
    types = "\n".join(
        f'    <FilesMatch "\\.({"|".join(endings)})$">\n'
        f'        ForceType "{TYPES["." + endings[0]]}"\n'
        "    </FilesMatch>"
        for endings in _types().values()
    )
    headers = "\n".join(
        f'    Header always set {name} "{value}"' for name, value in security(place.policy)
    )
    redirect = (
        f'RedirectMatch 301 "^{re.escape(place.slashless)}$" "{place.base}"\n'
        if place.slashless
        else ""
    )
    return f"""\
# PocketPump at {place.base} with Apache 2.4. Once: a2enmod alias deflate dir filter headers mime
# Put this line into your <VirtualHost>:
#     Include /etc/apache2/pocketpump.conf
{redirect}Alias "{place.base}" "{place.folder}/"
<Directory "{place.folder}">
    Require all granted
    Options None
    AllowOverride None
    DirectoryIndex index.html
    <FilesMatch "^[^.]+$">
        ForceType "{TYPES[""]}"
    </FilesMatch>
{types}
    RemoveEncoding .gz
    AddOutputFilterByType DEFLATE {" ".join(_to_compress())}
{headers}
    Header set Cache-Control "{ASK_ANEW}"
</Directory>
<LocationMatch "^{re.escape(place.base)}{_RELEASES}">
    Header set Cache-Control "{FOR_EVER}"
</LocationMatch>
"""


def header_file(place: Place) -> str:
    """Return a ``_headers`` file, as Netlify and others read it.

    No file gets one header from two rules: such hosts would send both in one line.
    """
    lines = [f"{place.base}*"]
    lines += [f"  {name}: {value}" for name, value in security(place.policy)]
    fixed = [name for name in place.names if not name.startswith((place.release, "icons/", "_"))]
    for path in ("", *fixed, "icons/*"):
        lines += [f"{place.base}{path}", f"  Cache-Control: {ASK_ANEW}"]
    lines += [f"{place.base}{place.release}/*", f"  Cache-Control: {FOR_EVER}"]
    for name in place.names:
        of = name[name.rindex(".") :] if "." in name else ""
        if of in (".mjs", ".wasm", ".zip", ".gz", ".webmanifest"):
            lines += [f"{place.base}{name}", f"  Content-Type: {TYPES[of]}"]
    return "\n".join(lines) + "\n"
