"""A screen of its own, and a keyboard in front of it. No mouse is ever moved."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.e2e.running import bare_environment, ended, wait_for


@dataclass(frozen=True)
class Keyboard:
    """Keys pressed on the screen `display`; they go to the window that has the focus."""

    display: str

    def press(self, *keys: str) -> None:
        """Press keys by their X names, one after the other."""
        self._run("key", "--clearmodifiers", "--delay", "5", *keys)

    def focus_window_of(self, process: subprocess.Popen[str]) -> None:
        """Wait for the window of a process and give it the keyboard, as a desktop would."""

        def found() -> str | None:
            if process.poll() is not None:
                raise AssertionError(f"the window closed: {process.communicate()}")
            seen = self._ask("search", "--onlyvisible", "--pid", str(process.pid))
            return seen[-1] if seen else None

        window = wait_for("the window", found)
        self._run("windowfocus", "--sync", window)
        wait_for("the focus", lambda: window if self._ask("getwindowfocus") == [window] else None)

    def _run(self, *arguments: str) -> None:
        subprocess.run(["xdotool", *arguments], check=True, env=self._env(), timeout=60)

    def _ask(self, *arguments: str) -> list[str]:
        done = subprocess.run(
            ["xdotool", *arguments],
            check=False,
            env=self._env(),
            capture_output=True,
            text=True,
            timeout=60,
        )
        return done.stdout.split()

    def _env(self) -> dict[str, str]:
        return {"DISPLAY": self.display, "PATH": os.environ["PATH"]}


@contextmanager
def screen(width: int = 1024, height: int = 768) -> Iterator[Keyboard]:
    """An X server of its own for the block."""
    for command in ("Xvfb", "xdotool"):
        assert shutil.which(command), f"{command} is missing; `python3 run.py test` installs it"
    reading, writing = os.pipe()
    server = subprocess.Popen(
        [
            *("Xvfb", "-displayfd", str(writing), "-screen", "0", f"{width}x{height}x24"),
            *("-nolisten", "tcp", "-noreset"),
        ],
        pass_fds=(writing,),
        stderr=subprocess.DEVNULL,
        text=True,
    )
    os.close(writing)
    with ended(server), os.fdopen(reading) as told:
        number = told.readline().strip()  # written once the server takes connections
        assert number, "the X server did not start"
        yield Keyboard(f":{number}")


def demo_window(name: str, folder: Path, keyboard: Keyboard) -> subprocess.Popen[str]:
    """`homeknee demo NAME --data-dir FOLDER` in a window that has the keyboard, and takes every
    press at once."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.e2e.impatient", "demo", name, "--data-dir", folder],
        cwd=Path(__file__).parents[2],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=bare_environment(DISPLAY=keyboard.display, QT_QPA_PLATFORM="xcb"),
    )
    keyboard.focus_window_of(process)
    return process
