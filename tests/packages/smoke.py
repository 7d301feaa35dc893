"""One smoke test for the program, however installed: `python -m tests.packages.smoke COMMAND`.

It needs nothing of the program it tries but the command, and begins with an empty home. COMMAND
may be several words, such as `chroot /somewhere homeknee`; `--root` is then where its files lie as
seen from here. Windows are painted offscreen, and with `--screen` on a screen of their own too.
"""

from __future__ import annotations

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from contextlib import nullcontext
from pathlib import Path

from tests.e2e.screen import screen

PERSON = "edda"
PAPERS = ("booklet.pdf", "cutting-sheet.pdf", "visit-summary.pdf")
MANY = 12
"""So many diaries are read by more processes than one."""
MOST_SECONDS = 300


class Smoke:
    """The program under trial, in an empty home."""

    def __init__(self, command: Sequence[str], root: Path, environment: dict[str, str]) -> None:
        self._command = command
        self._environment = environment
        self._root = root
        self.home = Path(tempfile.mkdtemp(prefix="homeknee-smoke-", dir=root / "tmp"))

    def inside(self, *parts: str) -> str:
        """A place in the empty home, as the program sees it."""
        return "/" + str(self.home.joinpath(*parts).relative_to(self._root))

    def run(self, *arguments: str, **more: str) -> str:
        """What a command says, which must be nothing but good; AssertionError else."""
        home = self.inside()
        done = subprocess.run(
            [*self._command, *arguments],
            check=False,
            capture_output=True,
            text=True,
            env={"PATH": self._environment["PATH"], "HOME": home, "LANG": "C.UTF-8"} | more,
            timeout=MOST_SECONDS,
            stdin=subprocess.DEVNULL,
        )
        said = (done.returncode, done.stderr)
        assert said == (0, ""), f"homeknee {' '.join(arguments)}: {said}"
        print(f"well  homeknee {' '.join(arguments)}", flush=True)
        return done.stdout


def files_and_papers(smoke: Smoke) -> None:
    """What needs no window."""
    assert smoke.run("--version").startswith("homeknee ")
    people = smoke.run("demo").split()
    assert PERSON in people
    smoke.run("demo", PERSON, "--out", smoke.inside("out"))
    out = smoke.home / "out"
    for paper in PAPERS:
        assert (out / paper).read_bytes().startswith(b"%PDF-"), paper
    assert (out / "record.png").read_bytes().startswith(b"\x89PNG")
    diary, plan = smoke.inside("out", "diary.homeknee"), smoke.inside("out", "plan.homeknee")
    smoke.run("verify", diary)
    found = json.loads(smoke.run("findings", diary, "--json"))
    assert found["person"] == json.loads((out / "findings.json").read_text())["person"]
    (smoke.home / "many").mkdir()
    for number in range(MANY):
        shutil.copy(out / "diary.homeknee", smoke.home / "many" / f"{number:02}.homeknee")
    smoke.run("findings", smoke.inside("many"), "--table", smoke.inside("table.csv"))
    assert len((smoke.home / "table.csv").read_bytes().splitlines()) == MANY + 1
    smoke.run("picture", plan, "--out", smoke.inside("pictures"))
    assert list((smoke.home / "pictures").glob("*.svg"))
    smoke.run("papers", plan, "--out", smoke.inside("papers"), "--weeks", "2")
    assert list((smoke.home / "papers").glob("*.pdf"))
    smoke.run("export", diary, "--fhir", smoke.inside("fhir.json"), "--csv", smoke.inside("d.csv"))


def windows(smoke: Smoke, **display: str) -> None:
    """Home on an empty home, a demo person, the clinic: each until it is painted; then what the
    doctor says, where a voice is absent and nothing else is wanting."""
    name = display["QT_QPA_PLATFORM"]
    for arguments in (
        ("--data-dir", smoke.inside(f"home-{name}")),
        ("demo", PERSON, "--data-dir", smoke.inside(f"demo-{name}")),
        ("clinic", "--data-dir", smoke.inside(f"clinic-{name}")),
        ("--data-dir", smoke.inside(f"new-{name}"), smoke.inside("out", "plan.homeknee")),
    ):
        said = smoke.run(*arguments, "--quit-when-shown", **display)
        assert said.startswith("shown "), said
    told = json.loads(smoke.run("doctor", smoke.inside(f"home-{name}"), "--json", **display))
    states = {one["check"]: one["state"] for one in told["checks"]}
    assert states["fonts"] == states["display"] == "well", states
    assert "to_mend" not in states.values(), states


def main(arguments: Sequence[str]) -> int:
    """Try a command; 1 where something is wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.packages.smoke", description=__doc__)
    parser.add_argument("command", nargs="+")
    parser.add_argument("--root", type=Path, default=Path("/"))
    parser.add_argument("--screen", action="store_true", help="also in windows on a real screen")
    options = parser.parse_args(arguments)
    smoke = Smoke(options.command, options.root.resolve(), dict(os.environ))
    try:
        files_and_papers(smoke)
        windows(smoke, QT_QPA_PLATFORM="offscreen")
        with screen() if options.screen else nullcontext() as shown:
            if shown is not None:
                windows(smoke, QT_QPA_PLATFORM="xcb", DISPLAY=shown.display)
    except AssertionError as wrong:
        print(f"wrong {wrong}", file=sys.stderr)
        return 1
    finally:
        shutil.rmtree(smoke.home, ignore_errors=True)
    print("All is well.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
