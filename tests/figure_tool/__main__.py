"""`python -m tests.figure_tool fetch | find NAME ... | draw [NAME ...] | check [NAME ...]`.

fetch brings the body's data. find brings the hands of a layout to their landmarks and keeps the
angles in the layout: once, for drawing finds nothing anew. draw makes every figure anew (or those
of some sheets and layouts) and takes out what none draws any more. check draws without writing and
names each that moved by over one unit as it comes to it, then how many.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.figure_tool.body import BODIES
from tests.figure_tool.knees import (
    EYES,
    MOVING,
    Room,
    contacts_of,
    draw_ground,
    draw_layout,
    figures,
    find,
    posed,
    sunk,
    touching,
)
from tests.figure_tool.people import Person, draw_sheet, sheets
from tests.figure_tool.skins import camera_of, draw_skins, skin_names
from tests.figure_tool.source import DataError, Source, fetch
from tests.figure_tool.stored import MOST_UNITS, OUT, moved, stored
from tests.figure_tool.tape_hands import Hands, draw_tape_hand, tape_hands

FIRST = MOVING[0]
TRIES = 5
"""How often the hands of one layout are brought to the knee of one body."""


def drawn(names: list[str], bodies: list[str]) -> Iterator[tuple[str, str]]:
    """Each figure's file name and text; all of them where no name is given."""
    source = Source()
    people = _wanted(sheets(), names)
    for sex in dict.fromkeys(BODIES[one].sex for one in bodies) if people else ():
        person = Person(source, BODIES[f"{sex}_usual"])
        for name, path in people.items():
            print(name, sex, flush=True)
            yield from draw_sheet(person, path).items()
    for body in bodies:
        yield from _knees(source, names, body)
    at = Hands(source)
    for name, path in _wanted(tape_hands(), names).items():
        print(name, flush=True)
        yield from draw_tape_hand(at.at(json.loads(path.read_text("utf-8"))), path).items()
    yield from draw_skins(source, [one for one in skin_names() if not names or one in names])


def _knees(source: Source, names: list[str], body: str) -> Iterator[tuple[str, str]]:
    own = {
        name: path
        for name, (path, whose) in figures().items()
        if whose == body and (not names or path.stem in names)
    }
    grounds = [one for one in EYES if not names or "_".join((*one, body)) in names]
    if own or grounds:
        room = Room(source, BODIES[body])
        for by, seat in grounds:
            yield f"{by}_{seat}_{body}", draw_ground(room.seated(seat), by, body)
        for name, path in own.items():
            print(name, flush=True)
            yield name, draw_layout(room.seated(posed(path, body)["seat"]), name)


def _wanted(paths: dict[str, Path], names: list[str]) -> dict[str, Path]:
    return {name: path for name, path in paths.items() if not names or name in names}


def _find(names: list[str], bodies: list[str]) -> int:
    """Find the angles of these layouts anew, each from where it was left; on another body than
    the first from where the first one's hands are, in short searches."""
    source = Source()
    hands = Hands(source)
    for name, path in _wanted(tape_hands(), names).items():
        told = json.loads(path.read_text("utf-8"))
        seated = hands.at(told)
        told["found"] = find(seated, told, camera_of(hands.person(told), told["seen"]).eye)
        path.write_text(json.dumps(told, indent=1) + "\n", "utf-8")
        print(name, contacts_of(hands.at(told), told), flush=True)
    for body in bodies:
        own = {
            path.stem: path
            for path, whose in figures().values()
            if whose == body and (not names or path.stem in names)
        }
        room = Room(source, BODIES[body]) if own else None
        for name, path in own.items():
            assert room is not None
            told = posed(path, body)
            seated, by = room.seated(told["seat"]), told.get("by", "own")
            eye = EYES[by, told["seat"]].camera(seated, by).eye
            if body != FIRST:
                told = posed(path, FIRST) | told
            firm = 1.0
            for number in range(TRIES):
                short = body != FIRST or number > 0
                told["found"] = find(
                    seated, told, eye, 1 if short else 2, most=10 if short else 100, firm=firm
                )
                measured = contacts_of(seated, told)
                if told.get("lifted") or (touching(measured) and not sunk(measured)):
                    break
                firm *= 0.6 if touching(measured) else 1.6
            kept = json.loads(path.read_text("utf-8"))
            kept["found"] = kept.get("found", {}) | {body: told["found"]}
            path.write_text(json.dumps(kept, indent=1) + "\n", "utf-8")
            print(name, body, contacts_of(seated, told), flush=True)
    return 0


def _draw(names: list[str], bodies: list[str], out: Path) -> int:
    out.mkdir(parents=True, exist_ok=True)
    made = set[str]()
    for name, text in drawn(names, bodies):
        (out / f"{name}.json").write_text(text, "utf-8")
        made.add(name)
    if not names and bodies == list(BODIES):
        for path in out.glob("*.json"):
            if path.stem not in made:
                path.unlink()
    return 0


def _check(names: list[str], bodies: list[str]) -> int:
    before, seen, wrong = stored(), set[str](), 0
    for name, text in drawn(names, bodies):
        seen.add(name)
        far = moved(before[name], json.loads(text)) if name in before else float("inf")
        if far > MOST_UNITS:
            wrong += 1
            print(f"not as stored: {name}, by {far:.1f} units", flush=True)
        if len(seen) % 20 == 0:
            print(f"{len(seen)} of {len(before)} drawn", flush=True)
    if not names and bodies == list(BODIES):
        for name in sorted(before.keys() - seen):
            wrong += 1
            print(f"drawn by none: {name}", flush=True)
    print(f"{len(seen)} drawn, " + (f"{wrong} not as stored" if wrong else "all as stored"))
    return 1 if wrong else 0


def main() -> int:
    """Run one command; 0 done, 1 refused or not as stored."""
    parser = argparse.ArgumentParser(prog="tests.figure_tool", description=__doc__)
    parser.add_argument("act", choices=("fetch", "find", "draw", "check"))
    parser.add_argument(
        "names", nargs="*", help="sheets of poses, such as heel_raises, layouts, or grounds"
    )
    parser.add_argument("--body", choices=BODIES, action="append", help="of these alone")
    parser.add_argument("--out", type=Path, default=OUT, help="where draw writes")
    told = parser.parse_args()
    try:
        if told.act == "fetch":
            print(fetch().name)
            return 0
        if told.act == "find":
            return _find(told.names, told.body or list(BODIES))
        if told.act == "draw":
            return _draw(told.names, told.body or list(BODIES), told.out)
        return _check(told.names, told.body or list(BODIES))
    except DataError as fault:
        print(fault, file=sys.stderr)
        return 1


if __name__ == "__main__":
    raise SystemExit(main())
