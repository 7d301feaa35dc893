"""A private record of faults, for whoever repairs the program.

It holds places in our code and the kinds of exceptions, never their messages: a message may quote
what a person wrote. The standard logging package is not used, its import costs more than the store.
"""

import os
import threading
import traceback
from pathlib import Path

from companion.system.clock import Clock

MOST_BYTES = 200_000
KEPT = 3


class PrivateLog:
    """Lines in `log.txt` of a folder, readable by its owner alone; older ones in `log.1.txt` on.

    Nothing here raises: a program that cannot write its log still runs.
    """

    def __init__(self, folder: Path, clock: Clock) -> None:
        self.path = folder / "log.txt"
        self._clock = clock
        self._lock = threading.Lock()

    def note(self, text: str) -> None:
        """Add one line. `text` must hold nothing a person wrote."""
        flat = " ".join(text.split())
        line = f"{self._clock.now().isoformat(timespec='seconds')} {flat}\n"
        self._write(line)

    def fault(self, where: str, fault: BaseException) -> None:
        """Add the kind of `fault` and the places it passed through, without its message."""
        lines = [f"{where}: {type(fault).__name__}"]
        seen: set[int] = set()
        cause: BaseException | None = fault
        while cause is not None and id(cause) not in seen:
            seen.add(id(cause))
            lines += [
                f"  {Path(frame.filename).name}:{frame.lineno} {frame.name}"
                for frame in traceback.extract_tb(cause.__traceback__)
            ]
            cause = cause.__cause__ or cause.__context__
            if cause is not None:
                lines.append(f"  after {type(cause).__name__}")
        stamp = self._clock.now().isoformat(timespec="seconds")
        self._write(f"{stamp} " + "\n".join(lines) + "\n")

    def _write(self, text: str) -> None:
        with self._lock:
            try:
                self._turn_over()
                flags = os.O_WRONLY | os.O_CREAT | os.O_APPEND
                handle = os.open(self.path, flags, 0o600)
                with os.fdopen(handle, "a", encoding="utf-8", errors="replace") as file:
                    file.write(text)
            except OSError:
                return

    def _turn_over(self) -> None:
        if not self.path.exists() or self.path.stat().st_size < MOST_BYTES:
            return
        for number in range(KEPT - 1, 0, -1):
            older = self.path.with_name(f"log.{number}.txt")
            if older.exists():
                older.replace(self.path.with_name(f"log.{number + 1}.txt"))
        self.path.replace(self.path.with_name("log.1.txt"))
