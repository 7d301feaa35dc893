"""`python -m tests.figure_tool fetch | find NAME ... | draw [NAME ...] | check [NAME ...]`.

fetch brings the body's data. find brings the hands of a layout to their landmarks and keeps the
angles in the layout: once, for drawing finds nothing anew. draw makes every figure anew (or those
of some sheets and layouts) and takes out what none draws any more. check draws without writing and
names what moved by over one unit.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.figure_tool.body import Build
from tests.figure_tool.knees import (
    EYES,
    Room,
    contacts_of,
    draw_ground,
    draw_layout,
    find,
    layouts,
)
from tests.figure_tool.people import Person, draw_sheet, sheets
from tests.figure_tool.skins import draw_skins, skin_names
from tests.figure_tool.source import DataError, Source, fetch
from tests.figure_tool.stored import MOST_UNITS, OUT, moved, stored
from tests.figure_tool.tape_hands import Hands, draw_tape_hand, tape_hands


def drawn(names: list[str]) -> Iterator[tuple[str, str]]:
    """Each figure's file name and text; all of them where no name is given."""
    source = Source()
    people, knees = _wanted(sheets(), names), _wanted(layouts(), names)
    hands = _wanted(tape_hands(), names)
    if people:
        person = Person(source, Build())
        for name, path in people.items():
            print(name, flush=True)
            yield from draw_sheet(person, path).items()
    if knees:
        room = Room(source, Build())
        for by, seat in EYES:
            yield from draw_ground(room.seated(seat), by).items()
        for name, path in knees.items():
            print(name, flush=True)
            seat = json.loads(path.read_text("utf-8"))["seat"]
            yield from draw_layout(room.seated(seat), path).items()
    at = Hands(source)
    for name, path in hands.items():
        print(name, flush=True)
        yield from draw_tape_hand(at.at(json.loads(path.read_text("utf-8"))), path).items()
    yield from draw_skins(source, [one for one in skin_names() if not names or one in names])


def _wanted(paths: dict[str, Path], names: list[str]) -> dict[str, Path]:
    return {name: path for name, path in paths.items() if not names or name in names}


def _find(names: list[str]) -> int:
    """Find the angles of these layouts anew, each from where it was left."""
    source = Source()
    hands, knees = Hands(source), _wanted(layouts(), names)
    room = Room(source, Build()) if knees else None
    for name, path in (knees | _wanted(tape_hands(), names)).items():
        told = json.loads(path.read_text("utf-8"))
        seated = hands.at(told) if room is None else room.seated(told["seat"])
        told["found"] = find(seated, told)
        path.write_text(json.dumps(told, indent=1) + "\n", "utf-8")
        print(name, contacts_of(seated, told), flush=True)
    return 0


def _draw(names: list[str], out: Path) -> int:
    out.mkdir(parents=True, exist_ok=True)
    made = dict(drawn(names))
    for name, text in made.items():
        (out / f"{name}.json").write_text(text, "utf-8")
    if not names:
        for path in out.glob("*.json"):
            if path.stem not in made:
                path.unlink()
    return 0


def _check(names: list[str]) -> int:
    before, wrong = stored(), []
    for name, text in drawn(names):
        if name not in before or moved(before[name], json.loads(text)) > MOST_UNITS:
            wrong.append(name)
    print("as stored" if not wrong else "not as stored: " + ", ".join(wrong))
    return 1 if wrong else 0


def main() -> int:
    """Run one command; 0 done, 1 refused or not as stored."""
    parser = argparse.ArgumentParser(prog="tests.figure_tool", description=__doc__)
    parser.add_argument("act", choices=("fetch", "find", "draw", "check"))
    parser.add_argument("names", nargs="*", help="sheets of poses, such as heel_raises")
    parser.add_argument("--out", type=Path, default=OUT, help="where draw writes")
    told = parser.parse_args()
    try:
        if told.act == "fetch":
            print(fetch().name)
            return 0
        if told.act == "find":
            return _find(told.names)
        return _draw(told.names, told.out) if told.act == "draw" else _check(told.names)
    except DataError as fault:
        print(fault, file=sys.stderr)
        return 1


if __name__ == "__main__":
    raise SystemExit(main())
