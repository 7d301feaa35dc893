"""The command `homeknee`."""

import os
import sys
from collections.abc import Sequence

_PLAIN_LOCALES = ("", "C", "POSIX")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; its exit code. 0 done, 1 refused, 2 usage, 3 the machine."""
    _use_utf8()
    from companion.app.commands import run

    return run(sys.argv[1:] if arguments is None else list(arguments))


def _use_utf8() -> None:
    """Qt complains under a POSIX locale; a locale that was chosen is kept."""
    overall = os.environ.get("LC_ALL", "")
    if overall and overall not in _PLAIN_LOCALES:
        return
    if overall:  # it would win over LANG
        del os.environ["LC_ALL"]
    if os.environ.get("LC_CTYPE", "en") in _PLAIN_LOCALES:
        del os.environ["LC_CTYPE"]
    if os.environ.get("LANG", "") in _PLAIN_LOCALES:
        os.environ["LANG"] = "C.UTF-8"


if __name__ == "__main__":
    sys.exit(main())
