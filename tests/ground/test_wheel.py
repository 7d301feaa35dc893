"""The wheel: what is in it, and that it runs where there is no checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import zipfile
from collections.abc import Iterator
from importlib.metadata import distribution
from pathlib import Path

import pytest

import companion
from tests.ground.checkout import ROOT

DATA = {"resources": "companion/_data/resources", "demo_profiles": "companion/_data/demo_profiles"}


def shipped_files(folder: Path) -> Iterator[Path]:
    """Yield the files of a folder that belong into a wheel, relative to the folder."""
    for path in folder.rglob("*"):
        if path.is_file() and "__pycache__" not in path.parts:
            yield path.relative_to(folder)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from this checkout without any network."""
    folder = tmp_path_factory.mktemp("wheel")
    pip = [sys.executable, "-m", "pip", "wheel", "--no-deps", "--no-build-isolation", "--no-index"]
    done = subprocess.run(
        [*pip, "-q", "-w", str(folder), str(ROOT)],
        check=False,
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, "PIP_DISABLE_PIP_VERSION_CHECK": "1"},
    )
    assert done.returncode == 0, done.stderr
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def site(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that holds the unpacked wheel and nothing else."""
    folder = tmp_path_factory.mktemp("site")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def installed_homeknee(site: Path, cwd: Path, *arguments: str) -> tuple[int, str, str]:
    """Run the command from the unpacked wheel, the checkout out of reach; (code, out, err).

    -S leaves the path line of the editable install unread, -P the working folder.
    """
    code = (
        "import sys, companion, companion.__main__ as start\n"
        f"assert companion.__file__.startswith({str(site)!r}), companion.__file__\n"
        f"assert {str(ROOT)!r} not in sys.path\n"
        "sys.argv[0] = 'homeknee'\n"
        "raise SystemExit(start.main())"
    )
    path = os.pathsep.join([str(site), sysconfig.get_path("purelib")])
    done = subprocess.run(
        [sys.executable, "-S", "-P", "-c", code, *arguments],
        check=False,
        capture_output=True,
        encoding="utf-8",
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": path},
        timeout=120,
    )
    return done.returncode, done.stdout, done.stderr


def test_the_wheel_holds_the_package_the_data_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = {name for name in archive.namelist() if not name.endswith("/")}
    expected = {f"companion/{path.as_posix()}" for path in shipped_files(ROOT / "companion")}
    for folder, inside in DATA.items():
        files = {f"{inside}/{path.as_posix()}" for path in shipped_files(ROOT / folder)}
        assert files, f"{folder} is empty"
        expected |= files
    info = f"home_knee_companion-{companion.__version__}.dist-info"
    expected |= {
        f"{info}/{name}"
        for name in ("METADATA", "RECORD", "WHEEL", "entry_points.txt", "licenses/LICENSE")
    }
    assert names == expected


def test_the_wheel_names_the_command_and_its_needs(site: Path) -> None:
    (info,) = site.glob("*.dist-info")
    entry_points = (info / "entry_points.txt").read_text(encoding="utf-8")
    assert "homeknee = companion.__main__:main" in entry_points
    metadata = (info / "METADATA").read_text(encoding="utf-8").splitlines()
    assert "Requires-Python: >=3.11" in metadata
    assert "Requires-Dist: pyside6-essentials==6.11.3; python_version < '3.12'" in metadata
    assert "License-Expression: MIT" in metadata


def test_the_editable_install_copies_nothing() -> None:
    """A copy would grow stale: the checkout's own folders are read, through one path line."""
    recorded = distribution("home-knee-companion").files or []
    outside = {
        str(path)
        for path in recorded
        if ".dist-info" not in str(path) and path.name not in ("homeknee", "homeknee.exe")
    }
    assert outside == {"_home_knee_companion.pth"}
    assert Path(companion.__file__) == ROOT / "companion" / "__init__.py"


def test_the_versions_agree() -> None:
    assert distribution("home-knee-companion").version == companion.__version__


def test_the_installed_wheel_lists_its_people(site: Path, tmp_path: Path) -> None:
    code, people, told = installed_homeknee(site, tmp_path, "demo")
    assert code == 0, told
    here = subprocess.run(
        [sys.executable, "-m", "companion", "demo"],
        check=True,
        capture_output=True,
        encoding="utf-8",
        cwd=ROOT,
    )
    assert people.split()
    assert people == here.stdout


def test_the_installed_wheel_plays_the_whole_loop(site: Path, tmp_path: Path) -> None:
    """Plan, diary, summary, picture and findings from the data inside the wheel."""
    name = installed_homeknee(site, tmp_path, "demo")[1].split()[0]
    code, _, told = installed_homeknee(site, tmp_path, "demo", name, "--out", "out")
    assert code == 0, told
    made = {path.name for path in (tmp_path / "out").iterdir()}
    assert {"visit-summary.pdf", "record.png", "findings.json"} <= made
    assert len([one for one in made if one.startswith("plan.")]) == 1
    assert len([one for one in made if one.startswith("diary.")]) == 1
