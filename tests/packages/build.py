"""Build the stand-alone program and its packages into `dist/`: `python3 run.py build`.

One folder with a Python of its own, then, where `dpkg-deb` is, a Debian package of it. The folder
is tried from an empty home before anything is made of it.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from tests.ground.checkout import ROOT
from tests.packages.debian import debian_package, icon_pictures
from tests.packages.smoke import main as smoke

WORK, DIST = ROOT / "build", ROOT / "dist"
MOST_MB = 250


def frozen() -> Path:
    """Build the folder; where it is."""
    WORK.mkdir(exist_ok=True)
    if sys.platform == "win32":
        (WORK / "homeknee.ico").write_bytes(icon_pictures()[256])  # made an ICO by the builder
    elif sys.platform == "darwin":
        (WORK / "homeknee.icns").write_bytes(icon_pictures()[256])
    spec = Path(__file__).with_name("homeknee.spec")
    subprocess.run(
        [
            *(sys.executable, "-m", "PyInstaller", "--noconfirm", "--log-level", "WARN"),
            *("--workpath", str(WORK), "--distpath", str(DIST), str(spec)),
        ],
        check=True,
        cwd=ROOT,
    )
    return DIST / "homeknee"


def size_mb(folder: Path) -> float:
    """What a folder takes, in millions of bytes."""
    files = (path for path in folder.rglob("*") if path.is_file() and not path.is_symlink())
    return sum(path.stat().st_size for path in files) / 1e6


def main() -> int:
    """Build everything this machine can; 1 where the program does not work or is too large."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"  # the icon is painted
    if DIST.exists():
        shutil.rmtree(DIST)
    program = frozen()
    size = size_mb(program)
    print(f"{program.relative_to(ROOT)}: {size:.0f} MB, at most {MOST_MB}", flush=True)
    if smoke([str(program / "homeknee")]) != 0 or size > MOST_MB:
        return 1
    if shutil.which("dpkg-deb") is not None:
        package = debian_package(program, DIST, WORK)
        print(f"{package.relative_to(ROOT)}: {package.stat().st_size / 1e6:.0f} MB", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
