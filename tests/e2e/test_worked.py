"""A page is worked over a real accessibility bus, as by a switch, a voice or a Braille display.

EN 301 549 V3.2.1, 11.5.2.10 to 11.5.2.17 (M): text, actions, focus, states and values are told and
can be changed by assistive technology, by AT-SPI 2 (at-spi2-core, the interfaces Action, Component,
Text, EditableText and Value; M).
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import cast

from tests.e2e.bus import Bus, session_bus
from tests.e2e.running import bare_environment, ended, wait_for
from tests.e2e.screen import screen

_A11Y = "org.a11y.atspi."
CHECKED, FOCUSED, SHOWING = 4, 12, 25
"""Numbers of states as AT-SPI 2 has them (at-spi2-core, atspi-constants.h; M)."""


@dataclass(frozen=True)
class Hand:
    """Somebody who works a program over the bus alone."""

    bus: Bus
    program: str

    def call(
        self, path: str, interface: str, member: str, *values: object, kinds: str = ""
    ) -> object:
        return self.bus.ask(self.program, path, _A11Y + interface, member, *values, kinds=kinds)[0]

    def get(self, path: str, interface: str, field: str) -> object:
        return self.bus.get(self.program, path, _A11Y + interface, field)

    def is_(self, path: str, state: int) -> bool:
        low, high = cast(list[int], self.call(path, "Accessible", "GetState"))
        return bool((low | high << 32) >> state & 1)

    def below(self, path: str) -> Iterator[tuple[str, str, str]]:
        """Role, name and path of everything in sight."""
        for _, child in cast(list[tuple[str, str]], self.call(path, "Accessible", "GetChildren")):
            role = str(self.call(child, "Accessible", "GetRoleName"))
            yield role, str(self.get(child, "Accessible", "Name")), child
            yield from self.below(child)

    def actions(self, path: str) -> list[str]:
        told = cast(list[tuple[str, str, str]], self.call(path, "Action", "GetActions"))
        return [name for name, _, _ in told]

    def do(self, path: str, action: str) -> None:
        assert self.call(path, "Action", "DoAction", self.actions(path).index(action), kinds="i")


def test_a_page_is_answered_over_the_bus_alone() -> None:
    with screen() as keyboard, session_bus(keyboard.display) as (bus, address):
        program = subprocess.Popen(
            [sys.executable, "-m", "tests.e2e.worked"],
            cwd=Path(__file__).parents[2],
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
            assert program.stdout is not None
            assert program.stdout.readline().strip() == "there"
            keyboard.focus_window_of(program)
            registry = "org.a11y.atspi.Registry", "/org/a11y/atspi/accessible/root"

            def found() -> tuple[str, str] | None:
                asked = bus.ask(*registry, _A11Y + "Accessible", "GetChildren")[0]
                there = cast(list[tuple[str, str]], asked)
                return there[0] if there else None

            name, root = wait_for("the program on the bus", found)
            hand = Hand(bus, name)
            everything = list(hand.below(root))
            at = {(role, called): path for role, called, path in everything}
            hard, shop = at["radio button", "Hard"], at["check box", "Shopping"]
            field = next(path for role, _, path in everything if role in ("text", "entry"))
            following = at["push button", "Next"]

            for path in (hard, shop, field, following):
                assert hand.call(path, "Component", "GrabFocus")
                assert hand.is_(path, FOCUSED)
                assert hand.is_(path, SHOWING)

            for path in (hard, shop):
                assert not hand.is_(path, CHECKED)
                assert hand.actions(path)[-1] == "SetFocus"
                hand.do(path, "Toggle")
                assert hand.is_(path, CHECKED)

            assert hand.call(field, "EditableText", "SetTextContents", "45", kinds="s")
            assert hand.call(field, "Text", "GetText", 0, -1, kinds="ii") == "45"
            assert hand.get(field, "Text", "CharacterCount") == 2

            hand.do(following, "Press")
            answers = json.loads(program.stdout.readline())
            assert answers == {"stairs": "hard", "done": ["shop"], "minutes": 45}
            assert program.wait() == 0
