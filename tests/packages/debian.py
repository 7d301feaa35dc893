"""A Debian package of the stand-alone program, with its entries for a desktop."""

from __future__ import annotations

import gzip
import os
import shutil
import subprocess
from pathlib import Path

from companion import __version__
from tests.ground.checkout import ROOT, load_run

DESKTOP = ROOT / "resources" / "desktop"
NAME = "homeknee"
PLACES = {
    "homeknee.desktop": "usr/share/applications",
    "homeknee-clinic.desktop": "usr/share/applications",
    "homeknee.svg": "usr/share/icons/hicolor/scalable/apps",
    "homeknee.xml": "usr/share/mime/packages",
    "org.homeknee.companion.metainfo.xml": "usr/share/metainfo",
}
"""Where a desktop looks for each file of `resources/desktop`."""
PICTURES = (16, 24, 32, 48, 64, 128, 256)
"""Sizes in which the icon is drawn for desktops that take no SVG."""


def needs() -> tuple[str, ...]:
    """The Debian packages whose libraries the windows load: those `run.py` asks for."""
    return tuple(need.package for need in load_run().NEEDS if need.kind == "library")


def control(size_bytes: int, architecture: str) -> str:
    """What the package says of itself."""
    fields = {
        "Package": NAME,
        "Version": __version__,
        "Architecture": architecture,
        "Maintainer": "The developers of the home knee companion <homeknee@example.invalid>",
        "Installed-Size": str(size_bytes // 1024),
        "Depends": ", ".join(("libc6 (>= 2.34)", *needs())),
        "Recommends": "shared-mime-info, desktop-file-utils, hicolor-icon-theme",
        "Section": "misc",
        "Priority": "optional",
        "Description": (
            "routine and diary for a worn, aching knee\n"
            " Walks a person through the routine their own clinician prescribed, keeps the diary,\n"
            " and reads it back as findings. It does not diagnose or choose treatment."
        ),
    }
    return "".join(f"{name}: {value}\n" for name, value in fields.items())


def tree_of(program: Path, root: Path) -> None:
    """Lay the files of the package out under `root`: the built folder `program`, a command, and
    what a desktop looks for."""
    shutil.copytree(program, root / "usr/lib" / NAME, symlinks=True)
    (root / "usr/bin").mkdir(parents=True)
    (root / "usr/bin" / NAME).symlink_to(f"../lib/{NAME}/{NAME}")
    for file, place in PLACES.items():
        (root / place).mkdir(parents=True, exist_ok=True)
        shutil.copy(DESKTOP / file, root / place / file)
    icons = root / "usr/share/icons/hicolor"
    for size, picture in icon_pictures().items():
        apps = icons / f"{size}x{size}" / "apps"
        apps.mkdir(parents=True)
        (apps / f"{NAME}.png").write_bytes(picture)
    about = root / "usr/share/doc" / NAME
    about.mkdir(parents=True)
    shutil.copy(ROOT / "LICENSE", about / "copyright")
    notes = (DESKTOP / "release_notes.md").read_bytes()
    (about / "changelog.gz").write_bytes(gzip.compress(notes, mtime=0))
    for path in root.rglob("*"):  # whoever builds may keep files from others
        if not path.is_symlink():
            path.chmod(0o755 if path.is_dir() or os.access(path, os.X_OK) else 0o644)


def icon_pictures() -> dict[int, bytes]:
    """The icon as PNG by its size in pixels."""
    from PySide6.QtCore import QBuffer, QIODevice, Qt
    from PySide6.QtGui import QGuiApplication, QImage, QPainter
    from PySide6.QtSvg import QSvgRenderer

    application = QGuiApplication.instance() or QGuiApplication(["build"])
    drawn = QSvgRenderer(str(DESKTOP / "homeknee.svg"))
    pictures = {}
    for size in PICTURES:
        image = QImage(size, size, QImage.Format.Format_ARGB32)
        image.fill(Qt.GlobalColor.transparent)
        painter = QPainter(image)
        drawn.render(painter)
        painter.end()
        buffer = QBuffer()
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        image.save(buffer, "PNG")  # type: ignore[call-overload] # the stub knows no device
        pictures[size] = bytes(buffer.data().data())
    del application
    return pictures


def debian_package(program: Path, out: Path, scratch: Path) -> Path:
    """Write the package of the built folder `program` into `out`; where it is."""
    root = scratch / NAME
    if root.exists():
        shutil.rmtree(root)
    tree_of(program, root)
    size = sum(path.stat().st_size for path in root.rglob("*") if path.is_file())
    machine = subprocess.run(
        ["dpkg", "--print-architecture"], check=True, capture_output=True, text=True
    ).stdout.strip()
    (root / "DEBIAN").mkdir()
    (root / "DEBIAN/control").write_text(control(size, machine), encoding="utf-8")
    package = out / f"{NAME}_{__version__}_{machine}.deb"
    subprocess.run(
        ["dpkg-deb", "--build", "--root-owner-group", "-Zxz", "-z3", str(root), str(package)],
        check=True,
        stdout=subprocess.DEVNULL,
    )
    return package
