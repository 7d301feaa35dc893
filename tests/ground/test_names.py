"""A class name means one thing: whoever searches for it finds one place."""

import re
from collections import defaultdict
from pathlib import Path

PACKAGE = Path(__file__).parents[2] / "companion"


def test_no_class_name_has_two_meanings() -> None:
    places: defaultdict[str, list[str]] = defaultdict(list)
    for path in sorted(PACKAGE.rglob("*.py")):
        for name in re.findall(r"^class (\w+)", path.read_text(encoding="utf-8"), re.MULTILINE):
            places[name].append(str(path.relative_to(PACKAGE)))
    assert places
    assert {name: where for name, where in places.items() if len(where) > 1} == {}
