"""Where the stand-alone program begins."""

import sys
from multiprocessing import freeze_support

from companion.__main__ import main

if __name__ == "__main__":
    freeze_support()  # a table of many diaries is made by more processes of this same program
    sys.exit(main())
