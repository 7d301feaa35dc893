"""Which press counts: not one meant for the page before, not a key held down, not a hand's tremor.

A page that has just come up takes no press until it was seen for a moment, and the same key or
button does nothing again until it was let alone for as long. A key acts only once it was seen up
after its last press: not every screen says which presses are repeats of one that is held, and some
tell of each repeat as let go and pressed again, which no hand does as fast. Exempt are Stop, Help,
taking tape off, reading on, pages that only show, and everything typed into a field.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Hashable

SETTLE_SECONDS = {"quick": 0.5, "steady": 1.0, "slow": 2.0}
"""By the setting "How I press" (our choice, no source)."""
UP_SECONDS = 0.05
"""A key that was let go for less was held all the while (our choice, no source)."""
HELD_SECONDS = 2.0
"""A key not seen up counts as held for so long after its last press: repeats come sooner, and it
may have been let go over another window (our choice, no source)."""


class Presses:
    """What was pressed last, and since when the page is seen.

    `settle` is in seconds; with 0 every press counts, and nothing is timed. `clock` gives seconds
    from any fixed start.
    """

    def __init__(self, settle: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._settle = settle
        self._clock = clock
        self._rests = True
        self._seen_at: float | None = None
        self._last: dict[Hashable, float] = {}
        self._down: dict[int, float] = {}
        self._up: dict[int, float] = {}

    def page_comes(self, *, rests: bool = True) -> None:
        """Another page comes up: nothing counts until it is seen, unless it does not rest."""
        self._rests = rests
        self._seen_at = None
        self._last.clear()

    def page_is_seen(self) -> None:
        if self._seen_at is None:
            self._seen_at = self._clock()

    def reads(self) -> float | None:
        """The clock, in seconds from any fixed start; None where nothing is timed."""
        return None if self._settle == 0 else self._clock()

    def key_is_up(self, key: int) -> None:
        self._down.pop(key, None)
        self._up[key] = self._clock()

    def counts(self, what: Hashable, *, key: int | None = None, rests: bool = True) -> bool:
        """Whether a press of `what`, a key or a button, counts. To be asked for every press.

        `key` is what was pressed of the keyboard. With `rests` False nothing is waited for, but
        a key that is held still does nothing.
        """
        now = self._clock()
        held = key is not None and self._is_held(key, now)
        last = self._last.get(what)
        self._last[what] = now
        if self._settle == 0:
            return True
        if held:
            return False
        if not (rests and self._rests):
            return True
        seen = self._seen_at is not None and now - self._seen_at >= self._settle
        return seen and (last is None or now - last >= self._settle)

    def _is_held(self, key: int, now: float) -> bool:
        down, up = self._down.get(key), self._up.get(key)
        self._down[key] = now
        if down is not None and now - down < HELD_SECONDS:
            return True
        return up is not None and now - up < UP_SECONDS


_current = [Presses(SETTLE_SECONDS["quick"])]


def presses() -> Presses:
    """Those of this program's windows."""
    return _current[0]


def use_presses(those: Presses) -> None:
    """Use these from now on."""
    _current[0] = those
