"""What is heard with a screen reader: one session on a real accessibility bus, written down.

`heard.txt` is to be read like a page. Where what is said changes on purpose, write it anew:
`python -m tests.e2e.test_heard`, and read it.
"""

from __future__ import annotations

import subprocess
import sys
import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from tests.e2e.bus import Bus, session_bus
from tests.e2e.running import bare_environment, ended, wait_for
from tests.e2e.screen import screen

WRITTEN = Path(__file__).with_name("heard.txt")
HEAD = """\
What a screen reader is told of each page, in the order of its tree, and before it what is said and
where the focus goes as the page comes up. Written by `python -m tests.e2e.test_heard`.
"""
PASSED = "-"
"""In place of a page that nobody looks at."""
TOLD = "org.a11y.atspi.Accessible"
VALUE = "org.a11y.atspi.Value"
TABLE = "org.a11y.atspi.Table"
CHECKED, SHOWING = 4, 25
"""Numbers of states and politeness as AT-SPI 2 has them (at-spi2-core, atspi-constants.h; M)."""
_SAID_AS = {
    "push button": "button",
    "radio button": "answer",
    "check box": "tick",
    "panel": "group",
    "label": "text",
    "list item": "item",
    "notification": "alert",
    "table cell": "cell",
    "image": "picture",
    "entry": "field",
    "text": "field",
    "page tab": "tab",
}
_IN_A_LINE = ("button", "answer", "tick", "cell", "column header")


@dataclass(frozen=True)
class Thing:
    """One thing as it is told."""

    role: str
    name: str
    said: str
    """How it is said: name, description and state."""
    depth: int


class Listener:
    """Asks one program on the bus for what it shows, and keeps what it said of itself."""

    def __init__(self, bus: Bus) -> None:
        self._bus = bus
        registry = "org.a11y.atspi.Registry", "/org/a11y/atspi/accessible/root"

        def found() -> tuple[str, str] | None:
            there = cast(list[tuple[str, str]], bus.ask(*registry, TOLD, "GetChildren")[0])
            return there[0] if there else None

        self.name, self.root = wait_for("the program on the bus", found)

    def _of(self, path: str, member: str) -> object:
        return self._bus.ask(self.name, path, TOLD, member)[0]

    def _is(self, path: str, *states: int) -> list[bool]:
        low, high = cast(list[int], self._of(path, "GetState"))
        both = low | high << 32
        return [bool(both >> state & 1) for state in states]

    def events(self) -> list[str]:
        """What was said and focused since it was last asked."""
        self._of(self.root, "GetState")  # what was sent before the answer has come in by then
        told = []
        while self._bus.heard:
            signal = self._bus.heard.popleft()
            if signal.head[7] != self.name:
                continue
            if signal.member == "Announcement":
                how = {1: "said", 2: "said at once"}[cast(int, signal.body[1])]
                told.append(f"{how}: {signal.body[3]}")
            elif signal.member == "StateChanged" and signal.body[:2] == ["focused", 1]:
                try:
                    there = self._thing(signal.path, 0).said
                except AssertionError:
                    there = "something that is gone"
                told.append(f"focus: {there}")
        return told

    def _thing(self, path: str, depth: int) -> Thing:
        role = str(self._of(path, "GetRoleName"))
        role = _SAID_AS.get(role, role)
        name = str(self._bus.get(self.name, path, TOLD, "Name"))
        more = [str(self._bus.get(self.name, path, TOLD, "Description"))]
        if role in ("answer", "tick"):
            more.append("ticked" if self._is(path, CHECKED)[0] else "")
        if role == "progress bar":
            at, of = (
                cast(float, self._bus.get(self.name, path, VALUE, which))
                for which in ("CurrentValue", "MaximumValue")
            )
            more.append(f"{at:g} of {of:g}")
        said = f"{role} “{name}”" if name else role
        if any(more):
            said += f" ({', '.join(filter(None, more))})"
        return Thing(role, name, said, depth)

    def things(self, path: str = "", depth: int = -2) -> Iterator[Thing]:
        """What is in sight, in the order of the tree, without what only holds others."""
        path = path or self.root
        inner = depth
        if depth >= 0:
            if not self._is(path, SHOWING)[0]:
                return
            thing = self._thing(path, depth)
            if thing.role not in ("filler", "scroll bar", "layered pane"):
                yield thing
                inner = depth + 1
            if thing.role == "table":
                yield from self._first_row(path, inner)
                return
        else:
            inner = depth + 1
        for _, child in cast(list[tuple[str, str]], self._of(path, "GetChildren")):
            yield from self.things(child, inner)

    def _first_row(self, table: str, depth: int) -> Iterator[Thing]:
        """The first row of a table as it is heard going along it, each cell after its header."""
        for column in range(cast(int, self._bus.get(self.name, table, TABLE, "NColumns"))):
            told = []
            for member, at in (("GetColumnHeader", (column,)), ("GetAccessibleAt", (0, column))):
                asked = self._bus.ask(self.name, table, TABLE, member, *at, kinds="i" * len(at))
                _, there = cast(tuple[str, str], asked[0])
                told.append(str(self._bus.get(self.name, there, TOLD, "Name")))
            yield Thing("cell", "", f"cell {told[0]}: “{told[1]}”", depth)


def lines_of(things: list[Thing]) -> Iterator[str]:
    """The page as lines: several of one kind beside each other share one."""
    row: list[Thing] = []
    for thing in [*things, Thing("", "", "", 0)]:
        if row and (thing.role, thing.depth) != (row[0].role, row[0].depth):
            kind = row[0].role if len(row) == 1 else f"{len(row)} {row[0].role}s"
            words = "; ".join(one.said.removeprefix(f"{one.role} ") for one in row)
            yield f"{'  ' * row[0].depth}{kind} {words}"
            row = []
        if thing.role in _IN_A_LINE:
            row.append(thing)
        elif thing.role:
            yield "  " * thing.depth + thing.said


def _wrapped(line: str) -> list[str]:
    indent = " " * (len(line) - len(line.lstrip()) + 4)
    return textwrap.wrap(line, 100, subsequent_indent=indent)


def session() -> str:
    """Go through all of it on a screen and a bus of its own; what was heard."""
    written = [HEAD]
    with screen() as keyboard, session_bus(keyboard.display) as (bus, address):
        program = subprocess.Popen(
            [sys.executable, "-m", "tests.e2e.heard"],
            cwd=Path(__file__).parents[2],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            env=bare_environment(
                DISPLAY=keyboard.display,
                QT_QPA_PLATFORM="xcb",
                QT_ACCESSIBILITY="1",
                DBUS_SESSION_BUS_ADDRESS=address,
            ),
        )
        with ended(program):
            assert program.stdin is not None
            assert program.stdout is not None
            listener: Listener | None = None
            while name := program.stdout.readline().strip():
                listener = listener or Listener(bus)
                told = [*(f"({event})" for event in listener.events())]
                if name != PASSED:
                    written.append(f"\n== {name}\n")
                    told += lines_of(list(listener.things()))
                    written += [wrapped for line in told for wrapped in _wrapped(line)]
                program.stdin.write("\n")
                program.stdin.flush()
            assert program.wait() == 0
    return "\n".join(written) + "\n"


def test_what_is_heard_is_what_was_read() -> None:
    assert session() == WRITTEN.read_text(encoding="utf-8")


if __name__ == "__main__":
    WRITTEN.write_text(session(), encoding="utf-8")
