"""What a desktop is told of the program, held by the desktop's own tools."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from companion import __version__
from companion.system.resources import demo_profiles
from tests.e2e.running import HOMEKNEE, bare_environment, wait_for
from tests.e2e.screen import screen
from tests.packages.debian import DESKTOP, NAME, PICTURES, PLACES, control, needs, tree_of

PLAN = demo_profiles() / "edda" / "plan.homeknee"
DIARY = demo_profiles() / "edda" / "diary.homeknee"


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files of the package, laid out as a machine gets them, and what its desktop makes of
    them; in the place of the built program a small stand-in."""
    folder = tmp_path_factory.mktemp("installed")
    program = folder / "built"
    program.mkdir()
    (program / NAME).write_text("#!/bin/sh\n")
    (program / NAME).chmod(0o755)
    root = folder / "root"
    tree_of(program, root)
    for tool in (["update-mime-database", "mime"], ["update-desktop-database", "applications"]):
        place = root / "usr/share" / tool[1]
        subprocess.run([tool[0], str(place)], check=True, capture_output=True, env=at(root))
    return root


def at(root: Path, **more: str) -> dict[str, str]:
    """The environment of a desktop where the package is installed."""
    share = str(root / "usr/share")
    return bare_environment() | {"XDG_DATA_HOME": share, "XDG_DATA_DIRS": "/usr/share"} | more


def test_every_file_for_a_desktop_has_its_place(root: Path) -> None:
    assert {path.name for path in DESKTOP.iterdir()} == {*PLACES, "release_notes.md"}
    assert all((root / place / file).is_file() for file, place in PLACES.items())
    for size in PICTURES:
        icon = root / f"usr/share/icons/hicolor/{size}x{size}/apps/{NAME}.png"
        # PNG, 11.2.2: width and height stand in bytes 16 to 23.
        assert icon.read_bytes()[16:24] == 2 * size.to_bytes(4, "big")
    assert os.access(root / "usr/bin" / NAME, os.X_OK)


def test_the_entries_and_what_shops_show_are_valid() -> None:
    for entry in DESKTOP.glob("*.desktop"):
        done = subprocess.run(["desktop-file-validate", entry], check=False, capture_output=True)
        assert (done.returncode, done.stdout) == (0, b""), done.stdout
    told = subprocess.run(
        ["appstreamcli", "validate", "--no-net", *DESKTOP.glob("*.metainfo.xml")],
        check=False,
        capture_output=True,
        text=True,
    )
    assert told.returncode == 0, told.stdout


def test_release_notes_and_metadata_are_of_this_version() -> None:
    (metadata,) = DESKTOP.glob("*.metainfo.xml")
    released = re.search(r'<release version="([^"]+)"', metadata.read_text(encoding="utf-8"))
    noted = re.search(r"^## (\S+),", (DESKTOP / "release_notes.md").read_text(), re.MULTILINE)
    assert released is not None
    assert noted is not None
    assert {released[1], noted[1]} == {__version__}


def test_the_package_asks_for_the_libraries_that_windows_load() -> None:
    said = control(50_000_000, "amd64")
    assert f"Version: {__version__}\n" in said
    assert "Installed-Size: 48828\n" in said
    assert "libxcb-cursor0" in needs()
    assert all(f" {need}" in said for need in needs())
    assert "xvfb" not in said


@pytest.mark.parametrize(
    ("file", "name", "kind"),
    [
        (PLAN, "my plan.homeknee", "plan"),
        (DIARY, "diary.homeknee", "diary"),
        (DIARY, "it", "diary"),
    ],
)
def test_a_file_is_known_by_what_it_is(
    root: Path, tmp_path: Path, file: Path, name: str, kind: str
) -> None:
    """Also where its name lost its ending."""
    copy = shutil.copy(file, tmp_path / name)
    told = subprocess.run(
        ["gio", "info", "-a", "standard::content-type", copy],
        check=True,
        capture_output=True,
        text=True,
        env=at(root),
    ).stdout
    assert told.rstrip().endswith(f"content-type: application/x-homeknee-{kind}")


def test_a_double_click_opens_a_file_in_its_window(root: Path, tmp_path: Path) -> None:
    """By the desktop's own opener, on a screen, with the entries as they are installed."""
    commands, said = tmp_path / "bin", tmp_path / "said"
    commands.mkdir()
    homeknee = commands / NAME
    homeknee.write_text(
        f'#!/bin/sh\nexec "{HOMEKNEE}" --data-dir "{tmp_path}/data" --quit-when-shown "$@" '
        f'>> "{said}"\n'
    )
    homeknee.chmod(0o755)
    plan = shutil.copy(PLAN, tmp_path / "my plan.homeknee")
    with screen() as keyboard:
        environment = at(
            root,
            DISPLAY=keyboard.display,
            QT_QPA_PLATFORM="xcb",
            XDG_CURRENT_DESKTOP="GNOME",
            PATH=f"{commands}{os.pathsep}{os.environ['PATH']}",
        )
        subprocess.run(["xdg-open", plan], check=True, capture_output=True, env=environment)
        told = wait_for("the window", lambda: (said.exists() and said.read_text()) or None)
    assert told.startswith("shown ")
