"""Every name of the product is reached from its commands: what tests alone call is theirs.

The reach is read from the source by names, so a name shared with something used passes; what is
found is certain.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]

KEPT = {
    "is_known": "tests hold every row of the clinic's answers to a known source",
    "fault_rows": "what a page shows, for the hand of a test",
    "reading_text": "the same of all of a page",
    "zone_in_reach": "the same of a picture",
    "place_of": "the same of a picture",
    "in_view": "the same of a chart",
    "day_read": "the same of a chart",
    "format_field": "the toolbox calls it for every hole it fills",
    "format_help": "the toolbox calls it for whoever asks what a command takes",
}
"""Names that tests alone use, and why they stay."""

DEFINITIONS = ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef


@dataclass(frozen=True)
class Unit:
    """A definition: `uses` are the names in it, `of` the class it is a method of. `called` says
    that it is called by name from nowhere: by the language, the toolkit or a registry."""

    place: str
    name: str
    uses: frozenset[str]
    of: str | None = None
    called: bool = False


def names_in(node: ast.AST, without: tuple[ast.AST, ...] = ()) -> frozenset[str]:
    """Every name that stands in a piece of source, also in short texts such as a name to get."""
    found: set[str] = set()
    ahead = [node]
    while ahead:
        each = ahead.pop()
        if each in without:
            continue
        match each:
            case ast.Name(id=name) | ast.Attribute(attr=name) | ast.keyword(arg=str(name)):
                found.add(name)
            case ast.Constant(value=str(text)) if len(text) < 60:
                found.update(re.findall(r"[A-Za-z_]\w*", text))
        ahead += ast.iter_child_nodes(each)
    return frozenset(found)


def units_of(path: Path) -> Iterator[Unit]:
    """The definitions of a module; what is done on import is a unit without a name."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        where = f"{path.name}:{node.lineno}"
        if isinstance(node, ast.Import | ast.ImportFrom):
            continue
        if isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            for target in targets:
                if isinstance(target, ast.Name) and target.id != "__all__":
                    yield Unit(where, target.id, names_in(node) - {target.id})
            continue
        if not isinstance(node, DEFINITIONS):
            yield Unit(where, "", names_in(node), called=True)
            continue
        methods = (
            tuple(each for each in node.body if isinstance(each, ast.FunctionDef))
            if isinstance(node, ast.ClassDef)
            else ()
        )
        yield Unit(where, node.name, names_in(node, methods), called=is_registered(node))
        for method in methods:
            place = f"{path.name}:{method.lineno}"
            # The toolkit's own names have a capital inside; the language's begin with two lines.
            called = bool(re.match(r"__|[a-z]+[A-Z]", method.name)) or is_registered(method)
            yield Unit(place, method.name, names_in(method), node.name, called)


def is_registered(node: DEFINITIONS) -> bool:
    """Whether a decorator hands it to a registry, from which it is called."""
    return any("register" in ast.dump(each) for each in node.decorator_list)


def named_by_content() -> frozenset[str]:
    """The tables of words that the plan form names."""
    form = (ROOT / "resources/forms/plan.json").read_text(encoding="utf-8")
    return frozenset(name.upper() for name in re.findall(r'"options": "([a-z_]+)', form))


def unreached(folder: Path) -> list[str]:
    """The definitions that no command reaches."""
    units = [unit for path in sorted(folder.rglob("*.py")) for unit in units_of(path)]
    live, reached = {"main", *named_by_content()}, set[Unit]()
    while True:
        more = {
            unit
            for unit in units
            if unit not in reached
            and (unit.of is None or unit.of in live)
            and (unit.called or unit.name in live)
        }
        if not more:
            break
        reached |= more
        live |= frozenset[str]().union(*(unit.uses for unit in more))
    classes = {unit.name for unit in reached}
    return [
        f"{unit.place} {unit.name}"
        for unit in units
        if unit not in reached and (unit.of is None or unit.of in classes)
    ]


def test_no_part_of_the_product_is_reached_by_tests_alone() -> None:
    found = unreached(ROOT / "companion")
    assert [line for line in found if line.split()[1] not in KEPT] == []
    assert {line.split()[1] for line in found} == set(KEPT), "nothing is kept without need"


def test_what_only_tests_would_call_is_found(tmp_path: Path) -> None:
    (tmp_path / "made.py").write_text(
        "def main():\n    used()\n\n"
        "def used():\n    return Shown().words()\n\n"
        "class Shown:\n    def words(self):\n        return LEVEL\n\n"
        "    def paintEvent(self):\n        return self._drawn()\n\n"
        "    def _drawn(self):\n        return 1\n\n"
        "    def probed(self):\n        return _helper()\n\n"
        "def _helper():\n    return 2\n\n"
        "LEVEL = 1\nSPARE = 3\n"
    )
    found = [line.split()[1] for line in unreached(tmp_path)]
    assert found == ["probed", "_helper", "SPARE"]
