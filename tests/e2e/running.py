"""The installed command as a process of its own, and waiting for it without sleeping blindly."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import chdir, contextmanager, redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path
from threading import Event
from typing import TypeVar

from companion.__main__ import main

Found = TypeVar("Found")

HOMEKNEE = Path(sys.executable).with_name("homeknee")
MOST_SECONDS = 60.0
_NOBODY = Event()  # never set: waiting for it yields the processor between two looks


def wait_for(what: str, look: Callable[[], Found | None], seconds: float = MOST_SECONDS) -> Found:
    """Look again and again until `look` finds something; AssertionError after `seconds`."""
    deadline = time.monotonic() + seconds
    while time.monotonic() < deadline:
        found = look()
        if found is not None:
            return found
        _NOBODY.wait(0.01)
    raise AssertionError(f"waited {seconds:g} s in vain: {what}")


def bare_environment(**more: str) -> dict[str, str]:
    """The environment of a command on a machine without display and with a POSIX locale."""
    kept = ("PATH", "HOME", "SYSTEMROOT", "TMPDIR")
    environment = {name: os.environ[name] for name in kept if name in os.environ}
    environment |= {
        name: value for name, value in os.environ.items() if name.startswith(("XDG_", "COV"))
    }
    return environment | more


def homeknee(
    *arguments: str | Path, env: Mapping[str, str] | None = None, cwd: Path | None = None
) -> subprocess.CompletedProcess[str]:
    """Run the installed command to its end. Never fails by itself: look at the exit code."""
    return subprocess.run(
        [HOMEKNEE, *map(str, arguments)],
        check=False,
        capture_output=True,
        encoding="utf-8",
        env=dict(bare_environment() if env is None else env),
        cwd=cwd,
        timeout=4 * MOST_SECONDS,
        stdin=subprocess.DEVNULL,
    )


def here(*arguments: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """The same command line in this process: a start costs more than most commands, and what a
    process of its own adds is seen where `homeknee` is called. Not for what shows or paints."""
    said, told = StringIO(), StringIO()
    line = [str(argument) for argument in arguments]
    with redirect_stdout(said), redirect_stderr(told), chdir(cwd or Path.cwd()):
        try:
            code = main(line)
        except SystemExit as left:
            code = int(left.code or 0)
    return subprocess.CompletedProcess(line, code, said.getvalue(), told.getvalue())


@contextmanager
def ended(process: subprocess.Popen[str]) -> Iterator[subprocess.Popen[str]]:
    """End a process, however the block is left."""
    try:
        yield process
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate()
