"""Write `requirements.lock` anew: `python -m tests.ground.lock` (needs the `uv` command).

The lock has three sections: `# [run]`, and what tools need beside it, `# [test]` and `# [build]`.
Every requirement is pinned with the hashes of all its published files, for every platform and
for Python 3.11 and later; no index, host or path is named, so whoever installs chooses where
the files come from and the hashes decide whether they are the right ones.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LOCK = ROOT / "requirements.lock"
HEAD = """\
# Pinned and hashed for Python 3.11 and later on every platform. Written by
# `python -m tests.ground.lock`; do not edit by hand. `run.py` installs the sections it needs.
"""


def compile_pins(*extras: str) -> dict[str, str]:
    """Return requirement line -> that line with its hashes, for the package and its builder."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    # The editable install runs without build isolation, so the builder is locked as well.
    builder = "\n".join(project["build-system"]["requires"]) + "\n"
    with tempfile.TemporaryDirectory() as scratch:
        asked = Path(scratch, "builder.in")
        asked.write_text(builder, encoding="utf-8")
        command = ["uv", "pip", "compile", "--no-config", "--universal", "--python-version", "3.11"]
        command += ["--generate-hashes", "--no-emit-index-url", "--no-header", "--no-annotate"]
        for extra in extras:
            command += ["--extra", extra]
        command += [str(ROOT / "pyproject.toml"), str(asked)]
        done = subprocess.run(command, check=True, stdout=subprocess.PIPE, encoding="utf-8")
    blocks = re.split(r"\n(?=\S)", done.stdout.strip())
    return {block.split(" \\\n")[0]: block for block in blocks}


def main() -> int:
    """Write all sections; those of tools hold only what the run section lacks."""
    run, every = compile_pins(), compile_pins("test", "build")
    parts = [HEAD, "\n# [run]\n", "\n".join(run.values()), "\n"]
    for tools in ("test", "build"):
        both = compile_pins(tools)
        changed = sorted((set(run) | set(both)) - set(every))
        if changed:
            print(f"The tools change what is run: {', '.join(changed)}", file=sys.stderr)
            return 1
        more = [block for name, block in both.items() if name not in run]
        parts += [f"\n# [{tools}]\n", "\n".join(more), "\n"]
        print(f"{LOCK.name}: {len(run)} to run, {len(more)} more to {tools}")
    LOCK.write_text("".join(parts), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
