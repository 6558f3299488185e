"""Set up everything, check the code, build the site and run every test.

`--no-browser` leaves out the tests that need one and says so; every other argument goes to pytest.
"""

from __future__ import annotations

import sys
import time
from typing import List, Sequence

import browsers
import console
import environment
import serve
from console import say
from environment import NODE_MODULES


def checks(python) -> List[tuple]:
    """(what, command) of each check of the code itself."""
    return [
        ("ruff (style of the Python)", [python, "-m", "ruff", "check", "--output-format", "concise", "."]),
        ("mypy (types of calc)", [python, "-m", "mypy", "--no-error-summary"]),
        (
            "import-linter (arrows point one way)",
            [python, "-c", "from importlinter.cli import lint_imports_command as c; c()"],
        ),
        (
            "biome (style of the JavaScript)",
            [
                environment.node_command(),
                NODE_MODULES / "@biomejs" / "biome" / "bin" / "biome",
                "lint",
                "--error-on-warnings",
            ],
        ),
    ]


def main(arguments: Sequence[str]) -> int:
    start = time.monotonic()
    passed_on = [argument for argument in arguments if argument != "--no-browser"]
    with_browser = len(passed_on) == len(arguments)
    python = environment.prepare(tests=True)
    left_out, selection = "", []
    if not with_browser:
        left_out, selection = "every test of the pages in a browser (--no-browser)", ["-m", "not browser"]
    elif browsers.provide()["firefox"] is None:
        left_out, selection = "the tests in Firefox: it can't be had here", ["-m", "not firefox"]
    failed = []
    for what, command in checks(python):
        say("Checking: " + what)
        code, output = console.stream(command, lambda line: None)
        if code:
            say(output.strip())
            failed.append(what)
    serve.build(python)
    say("Testing")
    if console.run([python, "-m", "pytest", *selection, *passed_on]):
        failed.append("pytest")
    say()
    if left_out:
        say("Not run: %s." % left_out)
    say(
        "%s after %.0f s."
        % (
            "FAILED: " + ", ".join(failed) if failed else "All checks and tests passed",
            time.monotonic() - start,
        )
    )
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(console.guarded(main))
