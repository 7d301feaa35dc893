"""Which press counts: not one meant for the page before, not a key held down, not a hand's tremor.

A page that has just come up takes no press until it was seen for a moment, and the same key or
button does nothing again until it was let alone for as long. Held keys are told by that too: not
every screen says which presses are repeats of one that is held. Exempt are Stop, Help, reading on
and everything typed into a field; they never ask here.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Hashable

SETTLE_SECONDS = {"quick": 0.5, "steady": 1.0, "slow": 2.0}
"""By the setting "How I press" (our choice, no source)."""


class Presses:
    """What was pressed last, and since when the page is seen.

    `settle` is in seconds; with 0 every press counts. `clock` gives seconds from any fixed start.
    """

    def __init__(self, settle: float, clock: Callable[[], float] = time.monotonic) -> None:
        self._settle = settle
        self._clock = clock
        self._seen_at: float | None = None
        self._last: dict[Hashable, float] = {}

    def page_comes(self) -> None:
        """Another page comes up: nothing counts until it is seen."""
        self._seen_at = None
        self._last.clear()

    def page_is_seen(self) -> None:
        """It was painted."""
        if self._seen_at is None:
            self._seen_at = self._clock()

    def counts(self, what: Hashable) -> bool:
        """Whether a press of `what`, a key or a button, counts. To be asked for every press."""
        now = self._clock()
        last = self._last.get(what)
        self._last[what] = now
        if self._settle == 0:
            return True
        seen = self._seen_at is not None and now - self._seen_at >= self._settle
        return seen and (last is None or now - last >= self._settle)


_current = [Presses(SETTLE_SECONDS["quick"])]


def presses() -> Presses:
    """Those of this program's windows."""
    return _current[0]


def use_presses(those: Presses) -> None:
    """Use these from now on."""
    _current[0] = those
