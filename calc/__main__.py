"""`python -m calc`."""

import gc
import os
import sys

gc.disable()  # a command is over before there is waste worth looking for; the search costs 5 ms of a check

from calc.cli import main  # noqa: E402  (after the line above, or the imports are searched too)

code = main()
sys.stdout.flush()
sys.stderr.flush()
os._exit(code)  # nothing is left open; taking modules down one by one costs 12 ms of a check
