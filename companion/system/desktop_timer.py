"""Being called again by the desktop while no window is open: by a timer of the user's own systemd,
else by an entry that starts with the desktop.

Where neither is there, or nothing that can show a message, there is no way, and nothing is written.
Each way is files in the user's own configuration folder alone (systemd.unit(5), systemd.timer(5);
Desktop Application Autostart Specification 0.5; Desktop Entry Specification 1.5, "The Exec key";
from memory).
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Literal

from companion.system.atomic import write_whole

Way = Literal["timer", "login"]
"""timer: systemd calls it every quarter of an hour. login: it is started with the desktop, and
looks as often itself."""
EVERY_MINUTES = 15
_NAME = "homeknee-remind"
_BOOTED = Path("/run/systemd/system")
"""There where systemd is the system's manager (sd_booted(3); from memory)."""
_MOST_SECONDS = 20
Run = Callable[[Sequence[str]], bool]
"""Run a command to its end; whether it went well."""


def run(command: Sequence[str]) -> bool:
    """Run a command to its end without a word; whether it went well."""
    try:
        done = subprocess.run(
            command,
            check=False,
            capture_output=True,
            timeout=_MOST_SECONDS,
            stdin=subprocess.DEVNULL,
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def desktop_way(
    environment: Mapping[str, str] = os.environ,
    which: Callable[[str], str | None] = shutil.which,
    booted: Path = _BOOTED,
) -> Way | None:
    """The way this desktop has; None where it has none."""
    if sys.platform in ("win32", "darwin") or which("notify-send") is None:
        return None
    if which("systemctl") is not None and booted.is_dir():
        return "timer"
    return "login" if environment.get("XDG_CURRENT_DESKTOP") else None


def user_configuration(environment: Mapping[str, str] = os.environ) -> Path:
    """The user's own configuration folder."""
    said = Path(environment.get("XDG_CONFIG_HOME", ""))
    return said if said.is_absolute() else Path.home() / ".config"


def set_up(way: Way, command: Sequence[str], config: Path, run: Run = run) -> Way | None:
    """Let the desktop call `command` from now on; the way that was taken, None where none held.
    Raises OSError."""
    take_down(config, run)
    if way == "timer":
        units = config / "systemd" / "user"
        units.mkdir(parents=True, exist_ok=True)
        write_whole(units / f"{_NAME}.service", _service(command).encode())
        write_whole(units / f"{_NAME}.timer", _TIMER.encode())
        started = run(["systemctl", "--user", "daemon-reload"]) and run(
            ["systemctl", "--user", "enable", "--now", f"{_NAME}.timer"]
        )
        if started:
            return "timer"
        take_down(config, run)
    entries = config / "autostart"
    entries.mkdir(parents=True, exist_ok=True)
    every = ["--every", str(EVERY_MINUTES)]
    write_whole(entries / f"{_NAME}.desktop", _entry([*command, *every]).encode())
    return "login"


def take_down(config: Path, run: Run = run) -> None:
    """Be called no more. Raises OSError."""
    units = config / "systemd" / "user"
    if (units / f"{_NAME}.timer").exists():
        run(["systemctl", "--user", "disable", "--now", f"{_NAME}.timer"])
    for file in (
        units / f"{_NAME}.timer",
        units / f"{_NAME}.service",
        config / "autostart" / f"{_NAME}.desktop",
    ):
        file.unlink(missing_ok=True)


def show_message(heading: str, sentence: str, *, presses: bool, run: Run = run) -> bool:
    """Show a message of the desktop's; one that `presses` stays until it is put away."""
    urgency = "critical" if presses else "normal"
    return run(["notify-send", "--app-name=homeknee", f"--urgency={urgency}", heading, sentence])


_TIMER = f"""[Unit]
Description=Look whether the knee diary has something to remind of

[Timer]
OnCalendar=*:0/{EVERY_MINUTES}
Persistent=true

[Install]
WantedBy=timers.target
"""


def _service(command: Sequence[str]) -> str:
    words = " ".join(_in_unit(word) for word in command)
    return f"""[Unit]
Description=Remind of the knee diary

[Service]
Type=oneshot
ExecStart={words}
"""


def _in_unit(word: str) -> str:
    """A word of a command in a unit: quoted, with what a unit reads as its own doubled."""
    for letter, written in (("\\", "\\\\"), ('"', '\\"'), ("%", "%%"), ("$", "$$")):
        word = word.replace(letter, written)
    return f'"{word}"'


def _entry(command: Sequence[str]) -> str:
    words = " ".join(_in_entry(word) for word in command)
    return f"""[Desktop Entry]
Type=Application
Name=Home knee companion, reminders
Exec={words}
Terminal=false
NoDisplay=true
"""


def _in_entry(word: str) -> str:
    """A word of a command in a desktop entry: quoted, and escaped twice, as a string value too."""
    for letter in ("\\", '"', "`", "$"):
        word = word.replace(letter, f"\\{letter}")
    return '"' + word.replace("\\", "\\\\").replace("%", "%%") + '"'
