"""The desktop calls the program again while no window is open, where it has a way."""

import configparser
import shlex
import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from companion.system.desktop_timer import desktop_way, set_up, show_message, take_down

COMMAND = ["/opt/a b/homeknee", "remind", "--data-dir", '/home/l/50% "mine" $x']
ALL = "/usr/bin/{}".format


class Machine:
    """Remembers the commands that are run; those that begin with `fails` do not go well."""

    def __init__(self, fails: str = "\0") -> None:
        self.ran: list[str] = []
        self._fails = fails

    def __call__(self, command: Sequence[str]) -> bool:
        self.ran.append(" ".join(command))
        return self._fails not in self.ran[-1]


def test_a_way_needs_something_that_shows_a_message_and_something_that_calls(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.platform", "linux")
    none = tmp_path / "none"
    desktop = {"XDG_CURRENT_DESKTOP": "Quay"}
    assert desktop_way(desktop, ALL, tmp_path) == "timer"
    assert desktop_way(desktop, ALL, none) == "login"
    assert desktop_way({}, ALL, none) is None
    assert desktop_way(desktop, lambda _name: None, tmp_path) is None
    monkeypatch.setattr("sys.platform", "win32")
    assert desktop_way(desktop, ALL, tmp_path) is None


def test_a_timer_is_files_of_the_user_alone_and_is_taken_down_again(tmp_path: Path) -> None:
    machine = Machine()
    assert set_up("timer", COMMAND, tmp_path, machine) == "timer"
    service = (tmp_path / "systemd/user/homeknee-remind.service").read_text("utf-8")
    assert (
        'ExecStart="/opt/a b/homeknee" "remind" "--data-dir" "/home/l/50%% \\"mine\\" $$x"'
        in service
    )
    timer = (tmp_path / "systemd/user/homeknee-remind.timer").read_text("utf-8")
    assert "OnCalendar=*:0/15" in timer
    assert machine.ran[-1] == "systemctl --user enable --now homeknee-remind.timer"
    take_down(tmp_path, machine)
    assert machine.ran[-1] == "systemctl --user disable --now homeknee-remind.timer"
    assert not [file for file in tmp_path.rglob("*") if file.is_file()]


def test_where_the_timer_does_not_start_an_entry_starts_with_the_desktop(tmp_path: Path) -> None:
    assert set_up("timer", COMMAND, tmp_path, Machine("--user enable")) == "login"
    (entry,) = (file for file in tmp_path.rglob("*") if file.is_file())
    assert entry == tmp_path / "autostart/homeknee-remind.desktop"
    words = entry.read_text("utf-8")
    assert '"/home/l/50%% \\\\"mine\\\\" \\\\$x" "--every" "15"' in words
    assert "Terminal=false" in words


def test_what_cannot_wait_is_shown_until_it_is_put_away() -> None:
    machine = Machine()
    assert show_message("Your knee diary", "Take it off now.", presses=True, run=machine)
    assert "--urgency=critical Your knee diary Take it off now." in machine.ran[0]


def test_a_unit_and_an_entry_are_read_back_as_the_command_they_were_made_of(tmp_path: Path) -> None:
    """By the rules of systemd.syntax(7) and of the Desktop Entry Specification 1.5, "The Exec key"
    (from memory), and by the desktop's own tools where they are there."""
    program = tmp_path / "a b" / "homeknee"
    program.parent.mkdir()
    program.write_text("#!/bin/sh\n", "utf-8")
    program.chmod(0o755)
    command = [str(program), *COMMAND[1:]]
    set_up("timer", command, tmp_path, Machine())
    unit = tmp_path / "systemd/user/homeknee-remind.service"
    timer = unit.with_suffix(".timer")
    assert sections(timer).sections() == ["Unit", "Timer", "Install"]
    words = sections(unit)["Service"]["ExecStart"]
    assert shlex.split(words.replace("%%", "%").replace("$$", "$")) == command
    read_by("systemd-analyze", "--user", "--man=no", "verify", str(unit), str(timer))
    set_up("login", command, tmp_path, Machine())
    entry = tmp_path / "autostart/homeknee-remind.desktop"
    told = sections(entry)["Desktop Entry"]
    assert {"Type", "Name", "Exec"} <= told.keys()
    assert told["Type"] == "Application"
    quoted = told["Exec"].replace("\\\\", "\\").replace("%%", "%")
    back = [word.replace("\\$", "$") for word in shlex.split(quoted)]
    assert back == [*command, "--every", "15"]
    read_by("desktop-file-validate", str(entry))


def sections(file: Path) -> configparser.ConfigParser:
    """The sections of a unit or an entry, their keys as they are written."""
    read = configparser.ConfigParser(interpolation=None, strict=True)
    read.optionxform = str  # type: ignore[assignment, method-assign]
    read.read_string(file.read_text("utf-8"))
    return read


def read_by(tool: str, *arguments: str) -> None:
    """Let a tool of the desktop read a file, where it is there: it finds nothing wrong."""
    if shutil.which(tool) is None:
        return
    done = subprocess.run([tool, *arguments], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, ""), done.stderr
