"""`python -m tests.languages COMMAND`: see resources/languages/TRANSLATING.md."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tests.languages.catalogues import (
    DOMAIN,
    faults,
    folder,
    merged,
    mo_bytes,
    parts,
    po_bytes,
    read,
    tags,
    taken_back,
    to_do,
    unread,
    whole,
)
from tests.languages.locale_forms import forms_bytes
from tests.languages.template import room, template, texts


def main() -> int:
    """Run one command; 0 done, 1 something is at fault."""
    parser = argparse.ArgumentParser(prog="python -m tests.languages")
    commands = parser.add_subparsers(dest="command", required=True)
    commands.add_parser("count", help="messages and words, by room")
    extract = commands.add_parser("extract", help="all there is to translate, as a template")
    extract.add_argument("out", type=Path)
    merge = commands.add_parser("merge", help="bring languages up to the template, and compile")
    merge.add_argument("tags", nargs="*", help="else all that are there; a new one is begun")
    check = commands.add_parser("check", help="what is missing, in doubt or at fault")
    check.add_argument("tags", nargs="*")
    split = commands.add_parser("split", help="what is to be done, in parts of equal size")
    split.add_argument("tag")
    split.add_argument("count", type=int)
    split.add_argument("out", type=Path)
    join = commands.add_parser("join", help="take filled parts back, check and compile")
    join.add_argument("tag")
    join.add_argument("parts", type=Path, nargs="+")
    options = parser.parse_args()
    match options.command:
        case "count":
            _count()
        case "extract":
            options.out.write_bytes(po_bytes(template()))
        case "merge":
            for tag in options.tags or tags():
                _merge(tag)
        case "check":
            return max((_check(tag) for tag in options.tags or tags()), default=0)
        case "split":
            catalogue = read(folder(options.tag) / f"{DOMAIN}.po", options.tag)
            options.out.mkdir(parents=True, exist_ok=True)
            for number, part in enumerate(parts(catalogue, options.count), 1):
                out = options.out / f"{options.tag}-{number}.po"
                out.write_bytes(po_bytes(part))
                words = sum(len(_first(m.id).split()) for m in part if m.id)
                print(f"{out}: {len(part)} messages, {words} words")
        case "join":
            catalogue = read(folder(options.tag) / f"{DOMAIN}.po", options.tag)
            came = taken_back(catalogue, [read(path, options.tag) for path in options.parts])
            print(f"{came} translations taken back")
            (folder(options.tag) / f"{DOMAIN}.po").write_bytes(po_bytes(catalogue))
            _merge(options.tag)
            return _check(options.tag)
    return 0


def _first(text: object) -> str:
    return text if isinstance(text, str) else str(text[0])  # type: ignore[index]


def _count() -> None:
    rooms: dict[str, list[int]] = {}
    for text, places in texts().items():
        counted = rooms.setdefault(room(places), [0, 0])
        counted[0] += 1
        counted[1] += len(text.one.split())
    for name, (messages, words) in sorted(rooms.items()):
        print(f"{name}: {messages} messages, {words} words")
    print(f"all: {sum(r[0] for r in rooms.values())}, {sum(r[1] for r in rooms.values())}")


def _merge(tag: str) -> None:
    path = folder(tag) / f"{DOMAIN}.po"
    catalogue = merged(tag, read(path, tag) if path.exists() else None)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(po_bytes(catalogue))
    path.with_name("forms.json").write_bytes(forms_bytes(tag, unread(catalogue)))
    compiled = path.with_suffix(".mo")
    compiled.unlink(missing_ok=True)
    if whole(catalogue):
        compiled.write_bytes(mo_bytes(catalogue))


def _check(tag: str) -> int:
    catalogue = read(folder(tag) / f"{DOMAIN}.po", tag)
    found = list(faults(catalogue))
    print(f"{tag}: {len(catalogue)} messages, {len(to_do(catalogue))} to be translated or in doubt")
    for fault in found:
        print(f"  {fault}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
