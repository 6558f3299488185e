"""`python -m calc`."""

import sys

from calc.cli import main

sys.exit(main())
