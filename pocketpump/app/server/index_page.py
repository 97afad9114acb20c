"""The page the browser loads before any Python runs in it: flet's, made local and named."""

from __future__ import annotations

import secrets
from pathlib import Path

from flet_web import get_package_web_dir  # type: ignore[import-untyped]

from pocketpump.app.look import theme

_SCRIPT = """
  <script>
    // A canvas says nothing to a screen reader until the tree of names is switched on, that
    // tree has no landmark, and Flutter forbids zoom: mend all three at the first picture.
    window.addEventListener('flutter-first-frame', () => {
      document.querySelector('flt-semantics-placeholder')?.click();
      document.querySelector('flutter-view')?.setAttribute('role', 'main');
      document.querySelectorAll('meta[name=viewport]').forEach((meta) => {
        meta.content = 'width=device-width, initial-scale=1';
      });
    });
  </script>
"""
_CONFIG = "var flutterConfig = {"


def put_page(folder: Path) -> str:
    """Write what flet serves in place of its own page into ``folder``, and return its nonce.

    Flutter makes two style elements, with other words for each browser; it is told the nonce,
    which is another at every start, and marks them with it.
    """
    nonce = secrets.token_urlsafe(24)
    start = (Path(get_package_web_dir()) / "flutter_bootstrap.js").read_text(encoding="utf-8")
    told = start.replace(_CONFIG, f'{_CONFIG}\n    nonce: "{nonce}",', 1)
    (folder / "flutter_bootstrap.js").write_text(told, encoding="utf-8")
    (folder / "index.html").write_text(local_index(), encoding="utf-8")
    return nonce


def local_index() -> str:
    """The text of ``index.html``, with flet's marks still in it for flet to fill."""
    source = (Path(get_package_web_dir()) / "index.html").read_text(encoding="utf-8")
    page = source.replace("<html>", '<html lang="en">', 1)
    page = page.replace("#ffffff", theme.LIGHT.sand).replace("#222222", theme.DARK.sand)
    page = page.replace("</head>", _SCRIPT + "</head>", 1)
    return _without_logo(page)


def _without_logo(page: str) -> str:
    """Say our own name while loading, in place of flet's moving logo."""
    before, _, rest = page.partition('<img src="icons/loading-animation.png"')
    _, _, after = rest.partition("/>")
    look = f"#loading p {{ font: 500 24px/1.4 sans-serif; color: {theme.LIGHT.line}; }}"
    words = f"<style>{look}</style><p>PocketPump</p>"
    return f"{before}{words}{after}" if after else page
