"""`python -m calc`."""

import gc
import sys

gc.disable()  # a command is over before there is waste worth looking for; the search costs 5 ms of a check

from calc.cli import main  # noqa: E402  (after the line above, or the imports are searched too)

sys.exit(main())
