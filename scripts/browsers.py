"""Find the browsers that the page tests drive, or have Debian's installed. Standard library only."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path
from typing import Dict, List, Optional

import console
from console import Stop, say

PACKAGES = {"chromium": "chromium", "firefox": "firefox-esr"}
ON_PATH: Dict[str, List[str]] = {
    "chromium": ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "microsoft-edge"],
    "firefox": ["firefox-esr", "firefox"],
}
ON_WINDOWS: Dict[str, List[str]] = {
    "chromium": [
        "Google/Chrome/Application/chrome.exe",
        "Chromium/Application/chrome.exe",
        "Microsoft/Edge/Application/msedge.exe",
    ],
    "firefox": ["Mozilla Firefox/firefox.exe"],
}
ON_MAC: Dict[str, List[str]] = {
    "chromium": [
        "Google Chrome.app/Contents/MacOS/Google Chrome",
        "Chromium.app/Contents/MacOS/Chromium",
        "Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    ],
    "firefox": ["Firefox.app/Contents/MacOS/firefox"],
}
# What a headless Chromium needs as root, and to stay off the network of its own accord.
CHROMIUM_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def variable(kind: str) -> str:
    """The environment variable that names a browser of this kind."""
    return "TURNABOUT_" + kind.upper()


def find(kind: str) -> Optional[Path]:
    """The program of a browser, kind "chromium" or "firefox": named by the variable, or found installed."""
    named = os.environ.get(variable(kind))
    if named:
        if not Path(named).is_file():
            raise Stop("%s names no file: %s" % (variable(kind), named))
        return Path(named)
    places = [found for found in (shutil.which(name) for name in ON_PATH[kind]) if found]
    for variable_name in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA"):
        folder = os.environ.get(variable_name)
        places += [os.path.join(folder, name) for name in ON_WINDOWS[kind]] if folder else []
    for applications in (Path("/Applications"), Path.home() / "Applications"):
        places += [str(applications / name) for name in ON_MAC[kind]]
    return next((Path(place) for place in places if Path(place).is_file()), None)


def provide() -> Dict[str, Optional[Path]]:
    """Both browsers; as root on Debian a missing one is installed. Stop when there is no Chromium."""
    found = {kind: find(kind) for kind in PACKAGES}
    missing = [PACKAGES[kind] for kind, path in found.items() if path is None]
    debian = sys.platform.startswith("linux") and shutil.which("apt-get")
    install = ["apt-get", "install", "-y", "--no-install-recommends", *missing]
    if missing and debian and os.geteuid() == 0:
        say("Installing %s for the page tests" % " and ".join(missing))
        quiet = {"DEBIAN_FRONTEND": "noninteractive"}
        console.stream(["apt-get", "update"], lambda line: None, **quiet)
        code, output = console.stream(install, lambda line: None, **quiet)
        if code and len(missing) > 1:  # one of them may still be had
            for package in missing:
                console.stream([*install[:4], package], lambda line: None, **quiet)
        found = {kind: find(kind) for kind in PACKAGES}
        if code and found["chromium"] is None:
            raise console.explain("Chromium", output)
    if found["chromium"] is None:
        line = "sudo " + " ".join(install) if debian else "install Chrome, Edge or Chromium"
        raise Stop(
            "The page tests need a browser. Type: %s\nor name one in %s, or leave those tests out: "
            "scripts/test.py --no-browser" % (line, variable("chromium"))
        )
    return found
