"""A WebKit window that a driver may steer and that keeps its data in a folder.

Run by the system's own Python, which has GObject: `python3 window.py --profile=FOLDER`.
(Debian's MiniBrowser keeps nothing while it is steered, so that it could show nothing of
what a phone still has after its browser was killed.)
"""

import sys

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402 (the versions must be named before)

SIZE = (390, 844)


def context_in(folder: str) -> WebKit2.WebContext:
    """Return a context whose data and caches are in this folder."""
    manager = WebKit2.WebsiteDataManager(
        base_data_directory=folder + "/data", base_cache_directory=folder + "/cache"
    )
    manager.get_cookie_manager().set_persistent_storage(
        folder + "/cookies.db", WebKit2.CookiePersistentStorage.SQLITE
    )
    context = WebKit2.WebContext.new_with_website_data_manager(manager)
    context.set_automation_allowed(True)
    return context


def view_for(context: WebKit2.WebContext) -> WebKit2.WebView:
    """Return a view in a window of a phone's size, for the driver."""
    view = WebKit2.WebView(web_context=context, is_controlled_by_automation=True)
    window = Gtk.Window()
    window.set_default_size(*SIZE)
    window.add(view)
    window.show_all()
    view.connect("close", lambda _: window.destroy())
    return view


def begin(context: WebKit2.WebContext, session: WebKit2.AutomationSession) -> None:
    """A driver has come: tell it who this is, and give it a view when it asks for one."""
    about = WebKit2.ApplicationInfo()
    about.set_name("sillbook-window")
    session.set_application_info(about)
    session.connect("create-web-view", lambda _: view_for(context))


def main() -> None:
    """Wait for the driver, which ends this process."""
    folder = next(word[10:] for word in sys.argv if word.startswith("--profile="))
    context = context_in(folder)
    context.connect("automation-started", begin)
    Gtk.main()


main()
