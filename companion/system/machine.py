"""What this machine has for the program: room on the disk, who may look into a folder, itself."""

import os
import shutil
import sys
from collections.abc import Mapping
from pathlib import Path

_DISPLAYS = ("QT_QPA_PLATFORM", "WAYLAND_DISPLAY", "DISPLAY")


def has_display(environment: Mapping[str, str] = os.environ) -> bool:
    """Whether a window can be opened here, as far as the environment tells."""
    return sys.platform in ("win32", "darwin") or any(map(environment.get, _DISPLAYS))


def own_command(*arguments: str) -> list[str]:
    """The command line that starts this program once more, beside itself. Stand-alone it is a
    program of its own and no Python (`sys.frozen`, as its builder marks it)."""
    own = [sys.executable] if getattr(sys, "frozen", False) else [sys.executable, "-m", "companion"]
    return [*own, *arguments]


def free_bytes(folder: Path) -> int:
    """How much room the disk has where a folder is, or is to be. Raises OSError."""
    return shutil.disk_usage(_there(folder)).free


def can_write(folder: Path) -> bool:
    """Whether something may be written into a folder, or it be made."""
    there = _there(folder)
    return there.is_dir() and os.access(there, os.W_OK | os.X_OK)


def others_may_look(folder: Path) -> bool:
    """Whether other people of this computer may look into a folder."""
    return os.name == "posix" and folder.is_dir() and bool(folder.stat().st_mode & 0o077)


def desktop_languages(environment: Mapping[str, str] = os.environ) -> tuple[str, ...]:
    """The languages the desktop is set to, such as "pt-BR", the most wanted first; none where the
    environment does not say. (GNU gettext, LANGUAGE after a locale that is not C; POSIX.1, LC_ALL
    before LC_MESSAGES before LANG; from memory)"""
    names = ("LC_ALL", "LC_MESSAGES", "LANG")
    locale = next(filter(None, map(environment.get, names)), "C")
    if locale.partition(".")[0] in ("C", "POSIX"):
        return ()
    named = [*environment.get("LANGUAGE", "").split(":"), locale]
    tags = (name.partition(".")[0].partition("@")[0].replace("_", "-") for name in named)
    return tuple(dict.fromkeys(filter(None, tags)))


def keeps_languages_elsewhere() -> bool:
    """Whether the desktop keeps its languages where no environment tells them."""
    return sys.platform in ("win32", "darwin")


_PAPER_FILE = Path("/etc/papersize")


def paper_said(environment: Mapping[str, str] = os.environ, file: Path = _PAPER_FILE) -> str | None:
    """The name of the paper that the machine is set to, "a4" or "letter" say; None where nobody
    said. (papersize(5) and paperconf(1) of libpaper; from memory)"""
    said = environment.get("PAPERSIZE", "")
    if not said and file.is_file():
        try:
            lines = file.read_text(encoding="utf-8", errors="replace").splitlines()
        except OSError:
            return None
        said = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    return said.strip().lower() or None


def paper_locale(environment: Mapping[str, str] = os.environ) -> str | None:
    """The locale that was chosen for paper alone, "en_US" say. (POSIX: LC_ALL before it; LC_PAPER
    of glibc, locale(7); from memory)"""
    said = environment.get("LC_ALL") or environment.get("LC_PAPER") or ""
    return said.partition(".")[0] if "_" in said else None


def _there(folder: Path) -> Path:
    return next(place for place in (folder, *folder.parents) if place.exists())
