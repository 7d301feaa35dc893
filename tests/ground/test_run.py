"""`run.py`: what it asks of the machine, when it does nothing, and how it says no."""

from __future__ import annotations

import ast
import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from tests.ground.checkout import ROOT, load_run

NOOP_LIMIT_S = 2.0  # a set-up with nothing to do is a no-op


@pytest.fixture
def run() -> ModuleType:
    """A copy of run.py of this test's own."""
    return load_run()


def call_run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the real `run.py` with the Python that this .venv was made from."""
    python = getattr(sys, "_base_executable", sys.executable)
    return subprocess.run(
        [python, str(ROOT / "run.py"), *arguments],
        check=False,
        capture_output=True,
        encoding="utf-8",
        timeout=600,
        stdin=subprocess.DEVNULL,
    )


# --- the file itself ---------------------------------------------------------------------------


def test_run_imports_only_the_standard_library() -> None:
    """It must start on a bare machine, where nothing is installed yet."""
    tree = ast.parse((ROOT / "run.py").read_text(encoding="utf-8"), feature_version=(3, 11))
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            names.add((node.module or "").split(".")[0])
    assert "subprocess" in names
    assert names <= set(sys.stdlib_module_names)


def test_ci_runs_the_readme_command_and_nothing_else() -> None:
    script = ROOT / ".ci" / "run"
    lines = script.read_text(encoding="utf-8").splitlines()
    assert lines[0] == "#!/usr/bin/env bash"
    commands = [line for line in lines if line and not line.startswith("#")]
    assert commands == [
        "set -eu",
        'cd "$(dirname "${BASH_SOURCE[0]}")/.."',
        "exec python3 run.py test",
    ]
    assert os.access(script, os.X_OK)


# --- the real command --------------------------------------------------------------------------


def test_a_second_setup_does_nothing_and_is_quick() -> None:
    first = call_run("setup")
    assert first.returncode == 0, first.stderr
    stamp = ROOT / ".venv" / "setup-stamp.json"
    before = stamp.stat().st_mtime_ns
    began = os.times()
    second = call_run("setup")
    ended = os.times()
    # Of a processor, not on the clock: the other tests run beside this one.
    took_s = ended.children_user - began.children_user
    took_s += ended.children_system - began.children_system
    assert (second.returncode, second.stdout) == (0, ".venv is up to date.\n"), second.stderr
    assert took_s < NOOP_LIMIT_S
    assert stamp.stat().st_mtime_ns == before


@pytest.mark.parametrize(
    "arguments", [["tset"], ["--fast"], ["setup", "test"], ["test", "-k", "x"], [""]]
)
def test_a_wrong_command_line_is_a_usage_error(arguments: list[str]) -> None:
    done = call_run(*arguments)
    assert done.returncode == 2
    assert done.stderr == "Usage: python3 run.py [setup|test|build]\n"
    assert done.stdout == ""


def test_help_is_not_an_error() -> None:
    done = call_run("--help")
    assert done.returncode == 0
    assert "python3 run.py test" in done.stdout
    assert "python3 run.py build" in done.stdout


# --- what the machine lacks --------------------------------------------------------------------


class Machine:
    """A machine to hand to `ensure_packages`: what it lacks, who we are, what was called."""

    def __init__(self, *lacks: str, root: bool = True, apt: bool = True) -> None:
        self.lacks = set(lacks)
        self.root = root
        self.apt = apt
        self.calls: list[list[str]] = []
        self.codes: dict[str, int] = {}
        self.stuck = False

    def call(self, command: list[str], env: Mapping[str, str]) -> int:
        """Act on a command as the package tool would."""
        assert env["DEBIAN_FRONTEND"] == "noninteractive"
        self.calls.append(command)
        if command[1] == "install" and not self.stuck:
            self.lacks -= set(command)
        return self.codes.get(command[1], 0)

    def ensure(self, run: ModuleType) -> Callable[..., None]:
        """Return `ensure_packages` of this machine."""
        return partial(
            run.ensure_packages,
            present=lambda need: need.package not in self.lacks,
            root=lambda: self.root,
            which=lambda name: "/usr/bin/apt-get" if self.apt and name == "apt-get" else None,
            call=self.call,
        )


def test_root_gets_the_missing_packages_installed(run: ModuleType) -> None:
    machine = Machine("libegl1", "libxcb-cursor0", "python3-venv")
    machine.ensure(run)(("run", "venv"), {})
    assert [command[:2] for command in machine.calls] == [
        ["apt-get", "update"],
        ["apt-get", "install"],
    ]
    install = machine.calls[1]
    assert {"-y", "--no-install-recommends"} <= set(install)
    assert [word for word in install[2:] if not word.startswith("-")] == [
        "python3-venv",
        "libegl1",
        "libxcb-cursor0",
    ]


def test_nothing_is_called_when_nothing_is_missing(run: ModuleType) -> None:
    machine = Machine("xvfb", "python3-venv")
    machine.ensure(run)(("run",), {})  # neither is asked for
    assert machine.calls == []


def test_anybody_else_is_told_the_exact_line_and_gets_exit_3(
    run: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    machine = Machine("libegl1", "libxkbcommon0", root=False)
    monkeypatch.setattr(run, "ensure_packages", machine.ensure(run))
    assert run.main(["setup"]) == 3
    told = capsys.readouterr().err.splitlines()
    assert told[-1] == (
        "sudo apt-get update && "
        "sudo apt-get install -y --no-install-recommends libegl1 libxkbcommon0"
    )
    assert machine.calls == []


def test_a_machine_without_apt_is_told_what_is_missing(run: ModuleType) -> None:
    machine = Machine("libegl1", apt=False)
    with pytest.raises(run.MachineError, match="libegl1"):
        machine.ensure(run)(("run",), {})
    assert machine.calls == []


@pytest.mark.parametrize("step", ["update", "install"])
def test_a_failing_package_tool_is_one_sentence(run: ModuleType, step: str) -> None:
    machine = Machine("libegl1")
    machine.codes[step] = 100
    with pytest.raises(run.MachineError, match=f"failed, see above: apt-get {step}"):
        machine.ensure(run)(("run",), {})


def test_a_package_that_does_not_help_is_said_to(run: ModuleType) -> None:
    machine = Machine("python3-venv")
    machine.stuck = True
    with pytest.raises(run.MachineError, match="python3-venv"):
        machine.ensure(run)(("run", "venv"), {})


def test_the_probes_tell_there_from_not_there(run: ModuleType) -> None:
    """Each kind of probe, against something every machine has and something none has."""
    need = partial(run.Need, "some-package")
    assert run.is_present(need("module", "json"))
    assert not run.is_present(need("module", "no_such_module_anywhere"))
    assert not run.is_present(need("command", "no-such-command-anywhere"))
    if sys.platform.startswith("linux"):
        assert run.is_present(need("command", "sh"))
        assert run.is_present(need("library", "libc.so.6"))
        assert not run.is_present(need("library", "libnosuchlibraryanywhere.so.9"))


# --- locale and display ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ({}, {"LANG": "C.UTF-8"}),
        ({"LANG": "C"}, {"LANG": "C.UTF-8"}),
        ({"LANG": "POSIX", "LC_CTYPE": "C"}, {"LANG": "C.UTF-8"}),
        ({"LC_ALL": "POSIX"}, {"LANG": "C.UTF-8"}),
        ({"LC_ALL": "C", "LANG": "de_DE.UTF-8"}, {"LANG": "de_DE.UTF-8"}),
        ({"LANG": "de_DE.UTF-8"}, {"LANG": "de_DE.UTF-8"}),
        ({"LC_ALL": "fr_FR.UTF-8", "LANG": "C"}, {"LC_ALL": "fr_FR.UTF-8", "LANG": "C"}),
    ],
)
def test_a_plain_locale_becomes_utf8_and_a_chosen_one_stays(
    run: ModuleType, before: dict[str, str], after: dict[str, str]
) -> None:
    submitted = dict(before)
    assert run.with_utf8(submitted) == after
    assert submitted == before


@pytest.mark.parametrize("name", ["QT_QPA_PLATFORM", "WAYLAND_DISPLAY", "DISPLAY"])
def test_any_of_three_names_makes_a_display(run: ModuleType, name: str) -> None:
    assert run.has_display({name: "something"})
    assert not run.has_display({name: ""})


# --- making and refreshing .venv ---------------------------------------------------------------


class Checkout:
    """A throwaway checkout whose commands are noted instead of run."""

    def __init__(self, run: ModuleType, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.run = run
        self.made = 0
        self.installed: list[list[str]] = []
        self.fail_install = False
        self.move_to(place, monkeypatch)
        monkeypatch.setattr(run, "ensure_packages", lambda *_: None)
        monkeypatch.setattr(run, "run_quietly", self.make)
        monkeypatch.setattr(run, "install", self.install)

    def move_to(self, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        """Stand in another folder from now on."""
        place.mkdir(exist_ok=True)
        for name in ("pyproject.toml", "requirements.lock"):
            (place / name).write_bytes((ROOT / name).read_bytes())
        monkeypatch.setattr(self.run, "ROOT", place)
        monkeypatch.setattr(self.run, "LOCK", place / "requirements.lock")
        monkeypatch.setattr(self.run, "VENV", place / ".venv")
        monkeypatch.setattr(self.run, "STAMP", place / ".venv" / "setup-stamp.json")

    def make(self, command: list[str], _env: Mapping[str, str]) -> int:
        """Stand in for `python -m venv`."""
        assert command[1:3] == ["-m", "venv"]
        assert not self.run.VENV.exists()
        python: Path = self.run.venv_command("python")
        python.parent.mkdir(parents=True)
        python.touch()
        self.made += 1
        return 0

    def install(self, sections: list[str], _env: Mapping[str, str]) -> None:
        """Stand in for pip."""
        assert not self.run.STAMP.exists()  # half done must not look done
        if self.fail_install:
            raise self.run.MachineError("no line")
        self.run.venv_command("homeknee").touch()
        self.installed.append(list(sections))

    def setup(self, *tools: str) -> None:
        """Set up once."""
        self.run.setup({}, *tools)


@pytest.fixture
def checkout(run: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Checkout:
    """A fresh checkout, nothing set up."""
    return Checkout(run, tmp_path / "here", monkeypatch)


def test_setup_makes_once_and_then_leaves_alone(checkout: Checkout) -> None:
    checkout.setup()
    checkout.setup()
    assert (checkout.made, checkout.installed) == (1, [["run"]])


def test_the_test_tools_are_added_and_never_taken_away(checkout: Checkout) -> None:
    checkout.setup()
    checkout.setup("test")
    checkout.setup()
    assert (checkout.made, checkout.installed) == (1, [["run"], ["run", "test"]])
    checkout.setup("build")
    assert checkout.installed[2:] == [["build", "run", "test"]]


def test_changed_pins_refresh_what_is_there(checkout: Checkout) -> None:
    checkout.setup("test")
    lock: Path = checkout.run.LOCK
    lock.write_bytes(lock.read_bytes() + b"# changed\n")
    checkout.setup()
    assert (checkout.made, checkout.installed) == (1, [["run", "test"], ["run", "test"]])


def test_a_lint_setting_costs_no_install_and_a_dependency_does(checkout: Checkout) -> None:
    checkout.setup()
    pyproject = checkout.run.ROOT / "pyproject.toml"
    text = pyproject.read_text(encoding="utf-8")
    pyproject.write_text(text.replace("line-length = 100", "line-length = 99"), encoding="utf-8")
    checkout.setup()
    assert len(checkout.installed) == 1
    pyproject.write_text(text.replace("appdirs==1.4.4", "appdirs==1.4.3"), encoding="utf-8")
    checkout.setup()
    assert len(checkout.installed) == 2


def test_a_setup_that_was_cut_short_starts_afresh(checkout: Checkout) -> None:
    checkout.fail_install = True
    with pytest.raises(checkout.run.MachineError):
        checkout.setup()
    checkout.fail_install = False
    checkout.setup()
    assert (checkout.made, checkout.installed) == (2, [["run"]])


def break_stamp(run: ModuleType) -> None:
    run.STAMP.write_text("{", encoding="utf-8")


def other_python(run: ModuleType) -> None:
    stamp: dict[str, Any] = json.loads(run.STAMP.read_text(encoding="utf-8"))
    run.STAMP.write_text(json.dumps({**stamp, "python": "another"}), encoding="utf-8")


def python_gone(run: ModuleType) -> None:
    python: Path = run.venv_command("python")
    python.unlink()
    python.symlink_to(run.ROOT / "gone")


def command_gone(run: ModuleType) -> None:
    run.venv_command("homeknee").unlink()


@pytest.mark.parametrize("spoil", [break_stamp, other_python, python_gone, command_gone])
def test_a_broken_or_foreign_venv_is_made_anew(
    checkout: Checkout, spoil: Callable[[ModuleType], None]
) -> None:
    checkout.setup()
    spoil(checkout.run)
    checkout.setup()
    assert checkout.made == 2


class ReplacedPython:
    """A base Python whose package is brought up to date under our feet."""

    def __init__(self, checkout: Checkout, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self._monkeypatch = monkeypatch
        self._script = place / "python3"
        self.say("3.11.2")
        self.next_process()
        monkeypatch.setattr(checkout.run, "base_python", lambda: str(self._script))

    def say(self, version: str) -> None:
        """Put this version in its place."""
        self._version = version
        self._script.write_text(f"#!/bin/sh\necho {version}\n", encoding="utf-8")
        self._script.chmod(0o755)

    def next_process(self) -> None:
        """Be what a process started now says of itself."""
        self._monkeypatch.setattr(sys, "version", self._version)


def test_a_setup_that_brings_a_newer_python_along_has_nothing_to_do_the_next_time(
    checkout: Checkout, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Seen on a bare Debian: installing the packages replaced 3.11.2 while it ran."""
    python = ReplacedPython(checkout, tmp_path, monkeypatch)
    monkeypatch.setattr(checkout.run, "ensure_packages", lambda *_: python.say("3.11.2-6+deb12u6"))
    checkout.setup()
    python.next_process()
    checkout.setup()
    assert (checkout.made, checkout.installed) == (1, [["run"]])


@pytest.mark.parametrize("tools", [(), ("test",)], ids=["as before", "with the test tools"])
def test_a_newer_python_brought_along_later_makes_the_venv_anew_once(
    checkout: Checkout, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, tools: tuple[str, ...]
) -> None:
    python = ReplacedPython(checkout, tmp_path, monkeypatch)
    checkout.setup()
    monkeypatch.setattr(checkout.run, "ensure_packages", lambda *_: python.say("3.11.4"))
    checkout.setup(*tools)
    python.next_process()
    checkout.setup(*tools)
    assert checkout.made == len(checkout.installed) == 2


def test_a_moved_checkout_makes_its_venv_anew(
    checkout: Checkout, monkeypatch: pytest.MonkeyPatch
) -> None:
    checkout.setup()
    old: Path = checkout.run.ROOT
    new = old.with_name("there")
    old.rename(new)
    checkout.move_to(new, monkeypatch)
    checkout.setup()
    assert checkout.made == 2


def test_a_damaged_lock_is_one_sentence(run: ModuleType) -> None:
    with pytest.raises(run.MachineError, match="damaged"):
        run.lock_sections("# [run]\nappdirs==1.4.4\n")


# --- the demo without and with a display -------------------------------------------------------


def fake_homeknee(run: ModuleType, place: Path, *, code: int = 0) -> None:
    """Put a command in .venv that notes its arguments and, for --out, makes the folder."""
    command: Path = run.venv_command("homeknee")
    command.parent.mkdir(parents=True)
    command.write_text(
        f"#!{sys.executable}\n"
        "import pathlib, sys\n"
        f"with pathlib.Path({str(place / 'calls')!r}).open('a') as calls:\n"
        "    print(*sys.argv[1:], file=calls)\n"
        "if sys.argv[1:] == ['demo']:\n"
        "    print('first', 'second', sep='\\n')\n"
        "elif '--out' in sys.argv:\n"
        "    pathlib.Path(sys.argv[-1]).mkdir()\n"
        f"    sys.exit({code})\n",
        encoding="utf-8",
    )
    command.chmod(0o755)


@pytest.mark.skipif(os.name == "nt", reason="the stand-in is a script with a #! line")
@pytest.mark.parametrize("display", [True, False])
def test_the_demo_opens_or_is_played_into_files(
    run: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    display: bool,
) -> None:
    monkeypatch.setattr(run, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(run, "OUTPUT", tmp_path / "demo-output")
    fake_homeknee(run, tmp_path)
    (tmp_path / "demo-output" / "first").mkdir(parents=True)  # an older one is replaced
    env = {"QT_QPA_PLATFORM": "offscreen"} if display else {}
    assert run.show_demo(env) == 0
    calls = (tmp_path / "calls").read_text(encoding="utf-8").splitlines()
    told = capsys.readouterr().out
    if display:
        assert calls == ["demo", "demo first"]
    else:
        folder = tmp_path / "demo-output"
        assert calls == [
            "demo",
            f"demo first --out {folder / 'first'}",
            f"demo second --out {folder / 'second'}",
        ]
        assert "no display" in told
        assert str(folder) in told.splitlines()[-1]


@pytest.mark.skipif(os.name == "nt", reason="the stand-in is a script with a #! line")
@pytest.mark.parametrize(("code", "passed_on"), [(1, 1), (3, 3), (134, 3)])
def test_a_demo_that_fails_gives_its_own_code_and_a_crash_gives_3(
    run: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int, passed_on: int
) -> None:
    monkeypatch.setattr(run, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(run, "OUTPUT", tmp_path / "demo-output")
    fake_homeknee(run, tmp_path, code=code)
    assert run.show_demo({}) == passed_on


# --- everything CI runs ------------------------------------------------------------------------


@pytest.mark.skipif(os.name == "nt", reason="the stand-ins are scripts with a #! line")
@pytest.mark.parametrize("fails", ["", "mypy", "pytest"])
def test_every_check_runs_and_one_that_fails_is_named(
    run: ModuleType,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
    fails: str,
) -> None:
    monkeypatch.setattr(run, "VENV", tmp_path / ".venv")
    for name in ("ruff", "mypy", "lint-imports", "pytest"):
        command: Path = run.venv_command(name)
        command.parent.mkdir(parents=True, exist_ok=True)
        command.write_text(f"#!/bin/sh\necho {name} ran\nexit {int(name == fails)}\n")
        command.chmod(0o755)
    assert run.check_all({}) == (run.REFUSED if fails else run.DONE)
    told, wrong = capfd.readouterr()
    for name in ("ruff", "mypy", "lint-imports", "pytest"):
        assert f"{name} ran" in told
    named = {"": "", "mypy": "Failed: mypy\n", "pytest": "Failed: tests\n"}
    assert wrong == named[fails]
