"""Set up everything, build the site into site/, print the demo build's verdict, and serve the site here.

`serve.py --build-only` stops before serving. Safe to run again: the second time takes seconds.
"""

from __future__ import annotations

import argparse
import functools
import http.server
import os
import subprocess
import sys
import threading
import webbrowser
from pathlib import Path
from typing import Sequence

import console
import environment
import fetch_runtime
from console import ROOT, Stop, say

SITE = ROOT / "site"
DEMO = "docs/examples/harvest-cart.toml"
FIRST_PORT = 8000


class SiteHandler(http.server.SimpleHTTPRequestHandler):
    """The built files, always asked for anew, with types that don't depend on this machine's settings."""

    protocol_version = "HTTP/1.1"
    disable_nagle_algorithm = True  # else each small file waits 40 ms between its header and its body
    extensions_map = {  # noqa: RUF012 (the base class has it so)
        **http.server.SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript",
        ".mjs": "text/javascript",
        ".css": "text/css",
        ".html": "text/html",
        ".svg": "image/svg+xml",
        ".json": "application/json",
        ".webmanifest": "application/manifest+json",
        ".toml": "application/toml",
    }

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def list_directory(self, path):
        self.send_error(404)

    def send_error(self, code, message=None, explain=None):
        page = Path(self.directory) / "404.html"
        if code != 404 or not page.exists():
            return super().send_error(code, message, explain)
        content = page.read_bytes()
        self.send_response(404)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def log_message(self, format, *args):
        """Nothing: a line for each file would bury what the person has to read."""


class SiteServer(http.server.ThreadingHTTPServer):
    """Serves a folder on the loopback address."""

    # On Windows this option would let two programs share one port.
    allow_reuse_address = os.name != "nt"

    def __init__(self, port: int, folder: Path = SITE) -> None:
        super().__init__(("127.0.0.1", port), functools.partial(SiteHandler, directory=str(folder)))

    @property
    def address(self) -> str:
        return "http://127.0.0.1:%d/" % self.server_port

    def handle_error(self, request, client_address):
        """A browser that hangs up is no error of ours."""
        if not isinstance(sys.exc_info()[1], ConnectionError):
            super().handle_error(request, client_address)


def build(python: Path) -> None:
    """Build the site: the pages by mkdocs, whose hooks render the answers and pack Python for the page."""
    fetch_runtime.numpy_wheel()
    # Bytecode for the command line, also where Python is told to write none by itself: a check starts a third sooner.
    console.stream([python, "-m", "compileall", "-q", "calc"], lambda line: say("  " + line))
    say("Building the site")
    code, _ = console.stream(
        [python, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", SITE],
        lambda line: say("  " + line),
        NO_MKDOCS_2_WARNING="1",
    )
    if code:
        raise Stop("The site could not be built; the reason stands above.")


def verdict(python: Path) -> None:
    """Print what the demo build comes to."""
    say()
    say("The demo build (%s, invented):" % DEMO)
    answer = subprocess.run(
        [str(python), "-m", "calc", "check", DEMO],
        cwd=str(ROOT),
        env=console.child_environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        check=False,
    )
    if answer.returncode not in (0, 1):
        raise Stop("The verdict on the demo build could not be worked out:\n" + answer.stdout.strip()[-4000:])
    say(answer.stdout.rstrip())


def open_server(first: int) -> SiteServer:
    """A server on the first free port from `first` on."""
    for port in range(first, min(first + 50, 65536)):
        try:
            return SiteServer(port)
        except OSError:
            continue
    raise Stop("No free port between %d and %d. Name another: serve.py --port 9000" % (first, first + 49))


def has_screen() -> bool:
    """Whether a browser window can be opened for whoever typed the command."""
    windowed = os.name == "nt" or sys.platform == "darwin"
    screen = windowed or os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")
    return bool(screen) and sys.stdout.isatty()


def main(arguments: Sequence[str]) -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--build-only", action="store_true", help="build the site and stop")
    parser.add_argument("--port", type=int, default=FIRST_PORT, help="first port to try (default 8000)")
    options = parser.parse_args(arguments)
    if not 0 < options.port < 65536:
        raise Stop("A port is a whole number from 1 to 65535, such as --port 8000.")
    python = environment.prepare()
    build(python)
    verdict(python)
    say()
    say("From disk: open %s" % (SITE / "index.html"))
    if options.build_only:
        return 0
    with open_server(options.port) as server:
        if server.server_port != options.port:
            say("Port %d is taken; this is the next free one." % options.port)
        say("Served:    open %s" % server.address)
        say("Ctrl+C stops it.")
        if has_screen():
            threading.Thread(target=webbrowser.open, args=(server.address,), daemon=True).start()
        server.serve_forever()
    return 0


if __name__ == "__main__":
    sys.exit(console.guarded(main))
