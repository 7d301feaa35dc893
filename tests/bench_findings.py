"""Findings of a three-year diary beside the reading of its file: `python -m tests.bench_findings`.

Both are done in one process, reading first and findings after it, a few times over; the best of
each counts, so that a busy machine weighs on neither. The goal is five readings. It is no test.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from companion.evidence.findings import sides
from companion.exchange.files import diary_bytes, read_bytes
from demo_profiles.generate import long_diary
from tests.found import findings

PERSON = "edda"
YEARS = 3
RUNS = 5
GOAL_READINGS = 5.0


def best(work: Callable[[], object]) -> float:
    """Seconds of the fastest of a few runs."""
    found = []
    for _ in range(RUNS):
        begun = time.perf_counter()
        work()
        found.append(time.perf_counter() - begun)
    return min(found)


def main() -> int:
    """Print both times and their ratio; 1 when findings take more than five readings."""
    diary = long_diary(PERSON, YEARS)
    data = diary_bytes(diary)
    begun = time.perf_counter()
    side = sides(diary)[0]
    findings(diary, side)
    first = time.perf_counter() - begun
    reading = best(lambda: read_bytes(data))
    finding = best(lambda: findings(diary, side))
    ratio = finding / reading
    print(f"{YEARS} years, {len(diary.entries)} entries, {len(data) / 1024:.0f} KiB")
    print(f"reading  {1000 * reading:7.0f} ms, checked with pydantic")
    print(f"findings {1000 * finding:7.0f} ms; the first time {1000 * first:.0f} ms")
    print(f"ratio    {ratio:7.2f}, at most {GOAL_READINGS:g}")
    return 0 if ratio <= GOAL_READINGS else 1


if __name__ == "__main__":
    raise SystemExit(main())
