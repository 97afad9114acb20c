"""A window of WebKitGTK with a profile of its own, driven by lines of JSON; run by Debian's Python.

``{"open": address}`` loads a page, ``{"run": script}`` answers what the script returns. Each
answer is one line: ``{"value": …}`` or ``{"error": …}``. WebDriver would be simpler, but its
sessions keep nothing, and private files need a profile. What Safari has switched on and this
build has not is switched on here.
"""

import json
import sys
import threading
from pathlib import Path

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import GLib, Gtk, WebKit2  # noqa: E402

AS_SAFARI = {"AccessHandle", "FileSystem", "FileSystemWritableStream", "StorageAPI"}


def answer(**what: object) -> None:
    """Write one answer."""
    print(json.dumps(what), flush=True)


def make_view(profile: Path) -> WebKit2.WebView:
    """Return a view that keeps what pages store in ``profile``."""
    manager = WebKit2.WebsiteDataManager(
        base_data_directory=str(profile / "data"), base_cache_directory=str(profile / "cache")
    )
    context = WebKit2.WebContext.new_with_website_data_manager(manager)
    context.set_preferred_languages(["en-GB"])
    view = WebKit2.WebView.new_with_context(context)
    settings = view.get_settings()
    features = WebKit2.Settings.get_all_features()
    for number in range(features.get_length()):
        feature = features.get(number)
        if feature.get_identifier() in AS_SAFARI:
            settings.set_feature_enabled(feature, True)
    settings.set_enable_write_console_messages_to_stdout(False)
    return view


def main() -> None:
    """Open the window and do what the lines say until they end."""
    view = make_view(Path(sys.argv[1]))
    window = Gtk.Window()
    window.set_default_size(int(sys.argv[2]), int(sys.argv[3]))
    window.add(view)
    window.show_all()

    def loaded(_view, event):
        if event == WebKit2.LoadEvent.FINISHED:
            answer(value="loaded")

    def ran(source, result):
        try:
            text = source.call_async_javascript_function_finish(result).to_string()
        except GLib.Error as error:
            answer(error=str(error))
        else:
            answer(value=json.loads(text))

    def do(line):
        order = json.loads(line)
        if "open" in order:
            view.load_uri(order["open"])
        else:
            body = f"return JSON.stringify(await (async () => {{ {order['run']} }})() ?? null)"
            view.call_async_javascript_function(body, -1, None, None, None, None, ran)

    def listen():
        for line in sys.stdin:
            GLib.idle_add(do, line)
        GLib.idle_add(Gtk.main_quit)

    view.connect("load-changed", loaded)
    threading.Thread(target=listen, daemon=True).start()
    Gtk.main()


if __name__ == "__main__":
    main()
