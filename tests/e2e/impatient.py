"""The command, with windows that take every press at once: for keys that a test presses.

How long a page and a button rest is held by `tests/ui/kit/test_presses.py` and the masher.
"""

import sys

from companion.app.commands import run
from companion.ui.kit.presses import SETTLE_SECONDS

SETTLE_SECONDS["quick"] = 0

if __name__ == "__main__":
    sys.exit(run(sys.argv[1:]))
