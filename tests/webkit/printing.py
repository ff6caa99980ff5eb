"""Prints a page by WebKit into a PDF, on Letter: `python3 printing.py ADDRESS FILE`.

Run by the system's own Python, which has GObject, on a screen. The page is laid out by the same
engine as in a window; what comes out is GTK's "Print to File".
"""

import sys
from pathlib import Path

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402 (the versions must be named before)

TO_FILE = "Print to File"


def print_into(view: WebKit2.WebView, file: Path) -> None:
    """Print a loaded page; the program ends when that is done, or has failed."""
    wishes = Gtk.PrintSettings()
    wishes.set_printer(TO_FILE)
    wishes.set(Gtk.PRINT_SETTINGS_OUTPUT_URI, file.absolute().as_uri())
    wishes.set(Gtk.PRINT_SETTINGS_OUTPUT_FILE_FORMAT, "pdf")
    sheet = Gtk.PageSetup()
    sheet.set_paper_size_and_default_margins(Gtk.PaperSize.new(Gtk.PAPER_NAME_LETTER))
    work = WebKit2.PrintOperation.new(view)
    work.set_print_settings(wishes)
    work.set_page_setup(sheet)
    work.connect("finished", lambda _: Gtk.main_quit())
    work.connect("failed", lambda _, error: sys.stderr.write(f"{error.message}\n"))
    view.printing = work  # as long as the view lives
    work.print_()


def main() -> None:
    """Load the page, print it, end."""
    address, file = sys.argv[1], Path(sys.argv[2])
    view = WebKit2.WebView(web_context=WebKit2.WebContext.new_ephemeral())
    window = Gtk.Window()
    window.set_default_size(800, 900)
    window.add(view)
    window.show_all()

    def loaded(_: WebKit2.WebView, event: WebKit2.LoadEvent) -> None:
        if event == WebKit2.LoadEvent.FINISHED:
            print_into(view, file)

    view.connect("load-changed", loaded)
    view.load_uri(address)
    Gtk.main()
    sys.exit(0 if file.exists() else 1)


main()
