#!/usr/bin/env python3
"""Set up, run and test the home knee companion. Standard library only, Python 3.11 or later.

    python3 run.py setup    make or refresh .venv; a second call has nothing to do
    python3 run.py          setup, then Home with a demo person (without a display: demo-output/)
    python3 run.py test     setup with the test tools, then everything CI runs
    python3 run.py build    setup with the build tools, then dist/: the stand-alone program and,
                            where dpkg-deb is, a Debian package of it

Exit codes: 0 done, 1 refused or a check failed, 2 usage, 3 the machine.
"""

from __future__ import annotations

import ctypes
import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
LOCK = ROOT / "requirements.lock"
STAMP = VENV / "setup-stamp.json"
OUTPUT = ROOT / "demo-output"

DONE, REFUSED, USAGE, MACHINE = 0, 1, 2, 3
OLDEST_PYTHON = (3, 11)
PLAIN_LOCALES = ("", "C", "POSIX")


class MachineError(Exception):
    """The machine lacks something or a command on it failed; the text is one plain sentence."""


# --- what the machine must bring ---------------------------------------------------------------


@dataclass(frozen=True)
class Need:
    """One Debian package, the probe that shows it is there, and when it is asked for."""

    package: str
    kind: str  # "library": a soname to load; "command": on PATH; "module": of this Python; "file"
    name: str
    when: str = "run"  # "run": always; "test", "build": with those tools; "venv": to make .venv


NEEDS = (
    Need("python3-venv", "module", "ensurepip", "venv"),
    Need("libegl1", "library", "libEGL.so.1"),
    Need("libgl1", "library", "libGL.so.1"),
    Need("libglib2.0-0", "library", "libglib-2.0.so.0"),
    Need("libfontconfig1", "library", "libfontconfig.so.1"),
    Need("libfreetype6", "library", "libfreetype.so.6"),
    Need("libdbus-1-3", "library", "libdbus-1.so.3"),
    Need("libxkbcommon0", "library", "libxkbcommon.so.0"),
    Need("libxkbcommon-x11-0", "library", "libxkbcommon-x11.so.0"),
    Need("libwayland-cursor0", "library", "libwayland-cursor.so.0"),
    Need("libwayland-egl1", "library", "libwayland-egl.so.1"),
    Need("libx11-xcb1", "library", "libX11-xcb.so.1"),
    Need("libxcb-cursor0", "library", "libxcb-cursor.so.0"),
    Need("libxcb-icccm4", "library", "libxcb-icccm.so.4"),
    Need("libxcb-image0", "library", "libxcb-image.so.0"),
    Need("libxcb-keysyms1", "library", "libxcb-keysyms.so.1"),
    Need("libxcb-randr0", "library", "libxcb-randr.so.0"),
    Need("libxcb-render0", "library", "libxcb-render.so.0"),
    Need("libxcb-render-util0", "library", "libxcb-render-util.so.0"),
    Need("libxcb-shape0", "library", "libxcb-shape.so.0"),
    Need("libxcb-shm0", "library", "libxcb-shm.so.0"),
    Need("libxcb-sync1", "library", "libxcb-sync.so.1"),
    Need("libxcb-xfixes0", "library", "libxcb-xfixes.so.0"),
    Need("libxcb-xinerama0", "library", "libxcb-xinerama.so.0"),
    Need("libxcb-xkb1", "library", "libxcb-xkb.so.1"),
    Need("xvfb", "command", "Xvfb", "test"),
    Need("xauth", "command", "xauth", "test"),
    Need("xdotool", "command", "xdotool", "test"),
    Need("dbus", "command", "dbus-daemon", "test"),
    Need("at-spi2-core", "file", "/usr/libexec/at-spi-bus-launcher", "test"),
    Need("poppler-utils", "command", "pdftotext", "test"),
    Need("appstream", "command", "appstreamcli", "test"),
    Need("desktop-file-utils", "command", "desktop-file-validate", "test"),
    Need("shared-mime-info", "command", "update-mime-database", "test"),
    Need("xdg-utils", "command", "xdg-open", "test"),
    Need("libglib2.0-bin", "command", "gio", "test"),
    Need("binutils", "command", "objdump", "build"),
)


def is_present(need: Need) -> bool:
    """Say whether this machine has what `need` names."""
    if need.kind == "command":
        return shutil.which(need.name) is not None
    if need.kind == "file":
        return Path(need.name).exists()
    if need.kind == "module":
        return importlib.util.find_spec(need.name) is not None
    if not sys.platform.startswith("linux"):
        return True  # elsewhere the wheels bring every library themselves
    try:
        ctypes.CDLL(need.name)
    except OSError:
        return False
    return True


def missing_packages(
    asked: Iterable[str], present: Callable[[Need], bool] = is_present
) -> list[str]:
    """Return the Debian packages, in table order, that are asked for and not there."""
    wanted = set(asked)
    return [need.package for need in NEEDS if need.when in wanted and not present(need)]


def is_root() -> bool:
    """Say whether packages may be installed without asking anybody."""
    return hasattr(os, "geteuid") and os.geteuid() == 0


def run_quietly(command: list[str], env: Mapping[str, str]) -> int:
    """Run a command with its output on our stderr, so that stdout stays ours; return its code."""
    done = subprocess.run(command, check=False, stdin=subprocess.DEVNULL, stdout=2, env=dict(env))
    return done.returncode


def ensure_packages(
    asked: Iterable[str],
    env: Mapping[str, str],
    *,
    present: Callable[[Need], bool] = is_present,
    root: Callable[[], bool] = is_root,
    which: Callable[[str], str | None] = shutil.which,
    call: Callable[[list[str], Mapping[str, str]], int] = run_quietly,
) -> None:
    """Install what is missing when root on a Debian-like system, else raise with the exact line.

    The keyword arguments are the machine, so that a test can hand in another one.
    """
    asked = tuple(asked)
    missing = missing_packages(asked, present)
    if not missing:
        return
    install = ["apt-get", "install", "-y", "--no-install-recommends", *missing]
    if which("apt-get") is None:
        raise MachineError(
            f"This machine lacks what Debian calls {' '.join(missing)}: "
            "install the same with its own package tool, then run this again."
        )
    if not root():
        raise MachineError(
            "This machine lacks some packages; run this line, then run this again:\n"
            f"sudo apt-get update && sudo {' '.join(install)}"
        )
    say(f"Installing Debian packages: {' '.join(missing)}")
    quiet = {**env, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (["apt-get", "update", "-q"], [*install, "-q"]):
        if call(command, quiet) != 0:
            raise MachineError(f"This command failed, see above: {' '.join(command)}")
    left = missing_packages(asked, present)
    if left:
        raise MachineError(f"Installed, but still not usable from {sys.executable}: {left[0]}.")


def with_utf8(environment: Mapping[str, str]) -> dict[str, str]:
    """Return a copy with LANG=C.UTF-8 where the locale is POSIX; a chosen locale is kept."""
    env = dict(environment)
    overall = env.get("LC_ALL", "")
    if overall and overall not in PLAIN_LOCALES:
        return env
    if overall:  # LC_ALL=C or POSIX would win over LANG
        del env["LC_ALL"]
    if env.get("LC_CTYPE") in PLAIN_LOCALES:
        del env["LC_CTYPE"]
    if env.get("LANG", "") in PLAIN_LOCALES:
        env["LANG"] = "C.UTF-8"
    return env


def has_display(env: Mapping[str, str]) -> bool:
    """Say whether a window can be shown, as far as the environment tells."""
    return any(env.get(name) for name in ("QT_QPA_PLATFORM", "WAYLAND_DISPLAY", "DISPLAY"))


# --- the virtual environment -------------------------------------------------------------------


def venv_command(name: str) -> Path:
    """Return the path of a command inside .venv."""
    return VENV / "Scripts" / f"{name}.exe" if os.name == "nt" else VENV / "bin" / name


def base_python() -> str:
    """Return the Python that makes .venv: this one, or the one beneath it if this is a venv's."""
    return getattr(sys, "_base_executable", None) or sys.executable


def base_version() -> str:
    """Return what the Python that makes .venv says of itself, asked anew: Debian packages that
    this set-up installs may bring a newer patch of it along, and this process stays the old one."""
    ask = [base_python(), "-I", "-S", "-c", "import sys; print(sys.version)"]
    done = subprocess.run(
        ask, check=False, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, encoding="utf-8"
    )
    if done.returncode != 0:
        raise MachineError(f"The Python at {base_python()} cannot be started, see above.")
    return done.stdout.strip()


def lock_sections(text: str) -> dict[str, str]:
    """Split the lock at its `# [name]` lines; raise MachineError when a section is missing."""
    sections: dict[str, list[str]] = {}
    name = ""
    for line in text.splitlines(keepends=True):
        if line.startswith("# ["):
            name = line[3:].strip().rstrip("]")
        elif name and not line.startswith("#"):
            sections.setdefault(name, []).append(line)
    if sorted(sections) != ["build", "run", "test"]:
        raise MachineError(f"{LOCK.name} is damaged: fetch it from the repository again.")
    return {key: "".join(lines) for key, lines in sections.items()}


def wanted_state() -> dict[str, str]:
    """Return what a finished .venv was made from: the Python, the place, the pins, the package."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    # Only these tables change what is installed; a lint setting must not cost an install.
    made_from = [
        project.get("project"),
        project.get("build-system"),
        project.get("tool", {}).get("hatch"),
    ]
    pins = hashlib.sha256(LOCK.read_bytes())
    pins.update(json.dumps(made_from, sort_keys=True).encode())
    return {
        "python": f"{base_version()} {os.path.realpath(base_python())}",
        "place": str(ROOT),
        "pins": pins.hexdigest(),
    }


def stamped_state() -> dict[str, str]:
    """Return what the stamp in .venv says; empty when there is none or .venv cannot run."""
    if not (venv_command("python").exists() and venv_command("homeknee").exists()):
        return {}
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(stamp, dict):
        return {}
    return {key: value for key, value in stamp.items() if isinstance(value, str)}


def is_usable(found: Mapping[str, str], wanted: Mapping[str, str]) -> bool:
    """Say whether a .venv of the state `found` may stay, whatever is installed in it."""
    return all(found.get(key) == wanted[key] for key in ("python", "place"))


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Hold this file locked, so that two set-ups of one checkout wait for each other."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    with Path(__file__).open("rb") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


def install(sections: Iterable[str], env: Mapping[str, str]) -> None:
    """Install the named lock sections and the checkout itself, editable, into .venv."""
    pip = [str(venv_command("python")), "-m", "pip", "--disable-pip-version-check", "--no-input"]
    pip += ["install", "-q"]
    texts = lock_sections(LOCK.read_text(encoding="utf-8"))
    with tempfile.TemporaryDirectory() as scratch:
        asked = Path(scratch, "requirements.txt")
        asked.write_text("".join(texts[name] for name in sections), encoding="utf-8")
        pinned = [*pip, "--require-hashes", "--no-deps", "-r", str(asked)]
        if run_quietly(pinned, env) != 0:
            raise MachineError("Fetching the Python packages failed, see above; try once more.")
    if run_quietly([*pip, "--no-deps", "--no-build-isolation", "-e", str(ROOT)], env) != 0:
        raise MachineError("Installing this checkout into .venv failed, see above.")
    # Compiled once, here: where Python may write no modules, every start would compile again.
    compiled = [str(venv_command("python")), "-m", "compileall", "-q", str(ROOT / "companion")]
    if run_quietly(compiled, env) != 0:
        raise MachineError("Compiling this checkout failed, see above.")


def setup(env: Mapping[str, str], *tools: str) -> None:
    """Make .venv, or bring it up to date, or find that nothing is to be done. `tools` are sections
    of the lock beside the one that runs the program: "test", "build"."""
    asked = ("run", *tools)
    with one_at_a_time():
        found = stamped_state()
        have = found.pop("sections", "").split()
        ensure_packages(asked if is_usable(found, wanted_state()) else (*asked, "venv"), env)
        wanted = wanted_state()  # the packages may have brought a newer Python along
        if found == wanted and set(asked) <= set(have):
            say(f"{VENV.name} is up to date.")
            return
        usable = is_usable(found, wanted)
        if usable:
            STAMP.unlink()  # from here until the new stamp, .venv counts as broken
        else:
            say(f"Making {VENV.name}")
            if VENV.is_symlink() or VENV.is_file():
                VENV.unlink()
            elif VENV.exists():
                shutil.rmtree(VENV)
            ensure_packages(("venv",), env)
            if run_quietly([base_python(), "-m", "venv", str(VENV)], env) != 0:
                raise MachineError(f"Making {VENV.name} failed, see above.")
        sections = sorted({*asked, *have}) if usable else sorted(asked)
        say("Installing the pinned packages: about 400 MB, a few minutes on a slow line")
        install(sections, env)
        fresh = STAMP.with_suffix(".new")
        fresh.write_text(json.dumps({**wanted, "sections": " ".join(sections)}), encoding="utf-8")
        fresh.replace(STAMP)
        say(f"{VENV.name} is ready; the command is {venv_command('homeknee')}")


# --- the commands ------------------------------------------------------------------------------


def say(words: str) -> None:
    """Tell the person at the terminal, at once."""
    print(words, flush=True)


def demo_people(env: Mapping[str, str]) -> list[str]:
    """Return the names `homeknee demo` lists, at least one."""
    command = [str(venv_command("homeknee")), "demo"]
    done = subprocess.run(
        command, check=False, stdout=subprocess.PIPE, encoding="utf-8", env=dict(env)
    )
    names = done.stdout.split()
    if done.returncode != 0 or not names:
        raise MachineError("The list of demo people could not be read, see above.")
    return names


def exit_code(command: list[str], env: Mapping[str, str]) -> int:
    """Run a command of ours and return its code; one that crashed counts as the machine's fault."""
    code = subprocess.run(command, check=False, env=dict(env)).returncode
    return code if code in (DONE, REFUSED, USAGE, MACHINE) else MACHINE


def show_demo(env: Mapping[str, str]) -> int:
    """Open Home for the first demo person, or without a display play every loop to files."""
    names = demo_people(env)
    homeknee = str(venv_command("homeknee"))
    if has_display(env):
        say(f"Opening Home for the demo person {names[0]}; nothing you enter is kept.")
        return exit_code([homeknee, "demo", names[0]], env)
    say(f"There is no display here, so the whole loop is played into {OUTPUT.name}/ instead.")
    for name in names:
        folder = OUTPUT / name
        if folder.exists():
            shutil.rmtree(folder)
        OUTPUT.mkdir(exist_ok=True)
        code = exit_code([homeknee, "demo", name, "--out", str(folder)], env)
        if code != DONE:
            return code
    say(f"Done: plan, diary, visit summary, record and findings of each person are in {OUTPUT}")
    return DONE


def build(env: Mapping[str, str]) -> int:
    """Build the stand-alone program and its packages into dist/, and try them."""
    return exit_code([str(venv_command("python")), "-m", "tests.packages.build"], env)


READING_CHECKS = (
    ("ruff check", ["ruff", "check", "."]),
    ("ruff format", ["ruff", "format", "--check", "."]),
    ("mypy", ["mypy"]),
    ("import floors", ["lint-imports", "--no-logo"]),
)
"""Checks that read the code and run none of it."""
# One process for each core, four at the most: each holds a toolkit and its screens.
TESTS = ["pytest", "-n", "auto", "--maxprocesses", "4", "--dist", "worksteal"]


def check_all(env: Mapping[str, str]) -> int:
    """Run everything CI runs, all of it even after a failure.

    What reads the code runs beside the tests, whose processes begin and end at different times;
    what it said is printed after them.
    """

    def line(arguments: list[str]) -> list[str]:
        return [str(venv_command(arguments[0])), *arguments[1:]]

    failed = []
    with ExitStack() as files:
        reading = []
        for name, arguments in READING_CHECKS:
            said = files.enter_context(tempfile.TemporaryFile())
            child = subprocess.Popen(
                line(arguments), cwd=ROOT, env=dict(env), stdout=said, stderr=subprocess.STDOUT
            )
            reading.append((name, child, said))
        say("== tests")
        tests = subprocess.run(line(TESTS), check=False, cwd=ROOT, env=dict(env)).returncode
        for name, child, said in reading:
            code = child.wait()
            say(f"== {name}")
            said.seek(0)
            print(said.read().decode("utf-8", "replace"), end="", flush=True)
            failed += [name] if code != 0 else []
    failed += ["tests"] if tests != 0 else []
    if failed:
        print(f"Failed: {', '.join(failed)}", file=sys.stderr, flush=True)
        return REFUSED
    return DONE


def main(arguments: list[str]) -> int:
    """Carry out one command line; return the exit code."""
    if arguments in (["-h"], ["--help"]):
        print(__doc__)
        return DONE
    if arguments not in ([], ["setup"], ["test"], ["build"]):
        print("Usage: python3 run.py [setup|test|build]", file=sys.stderr)
        return USAGE
    if sys.version_info < OLDEST_PYTHON:
        print("This needs Python 3.11 or later.", file=sys.stderr)
        return MACHINE
    env = with_utf8(os.environ)
    try:
        setup(env, *(name for name in arguments if name in ("test", "build")))
        if arguments == ["setup"]:
            return DONE
        acts = {"test": check_all, "build": build}
        return acts.get("".join(arguments), show_demo)(env)
    except MachineError as fault:
        print(fault, file=sys.stderr)
    except OSError as fault:
        print(f"The machine refused: {fault}", file=sys.stderr)
    except KeyboardInterrupt:
        print("Stopped; run the same command again to go on.", file=sys.stderr)
    return MACHINE


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
