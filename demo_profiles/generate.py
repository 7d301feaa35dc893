"""Write the files of the five people again, or one long diary.

python -m demo_profiles.generate
python -m demo_profiles.generate --years 10 --name edda --out long.homeknee
"""

import argparse
import sys
from pathlib import Path

from companion.care.catalogue import Catalogue
from companion.care.records import Diary
from companion.exchange.files import diary_bytes, plan_bytes
from companion.system.atomic import write_whole
from companion.system.resources import resource
from companion.wire.catalogue_reading import read_catalogue
from demo_profiles.keeping import keep
from demo_profiles.people import PEOPLE, Person

HERE = Path(__file__).resolve().parent


def catalogue() -> Catalogue:
    """The techniques, cautions and signs the plans name."""
    return read_catalogue(resource())


def person_named(name: str) -> Person:
    """The person of that name. Raises ValueError when there is none."""
    for person in PEOPLE:
        if person.name == name:
            return person
    names = ", ".join(person.name for person in PEOPLE)
    raise ValueError(f"{name} is not one of {names}")


def long_diary(name: str, years: int) -> Diary:
    """`years` (1-40) years of one person, ending on the same day as their own weeks."""
    if not 1 <= years <= 40:
        raise ValueError(f"{years} years is not between 1 and 40")
    return keep(person_named(name), catalogue(), years)


def files_of(person: Person, sheets: Catalogue) -> dict[str, bytes]:
    """The three files of one person, by name."""
    diary = keep(person, sheets)
    return {
        "plan.homeknee": plan_bytes(diary.plan),
        "diary.homeknee": diary_bytes(diary),
        "story.txt": (person.story + "\n").encode("utf-8"),
    }


def write_all(folder: Path) -> None:
    """Write all five people below `folder`, each file whole or not at all."""
    sheets = catalogue()
    for person in PEOPLE:
        (folder / person.name).mkdir(parents=True, exist_ok=True)
        for name, data in files_of(person, sheets).items():
            path = folder / person.name / name
            write_whole(path, data)
            path.chmod(0o644)  # invented, so not private as a real record is


def main(arguments: list[str] | None = None) -> int:
    """The command line; 0 done, 1 refused with one line on stderr."""
    parser = argparse.ArgumentParser(prog="python -m demo_profiles.generate")
    parser.add_argument("--years", type=int, help="one long diary instead, of so many years")
    parser.add_argument("--name", default=PEOPLE[0].name, help="whose diary (with --years)")
    parser.add_argument("--out", type=Path, help="the file to write (with --years)")
    asked = parser.parse_args(arguments)
    if asked.years is None:
        write_all(HERE)
        return 0
    if asked.out is None:
        parser.error("--years needs --out FILE")
    try:
        write_whole(asked.out, diary_bytes(long_diary(asked.name, asked.years)))
    except (ValueError, OSError) as fault:
        print(fault, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
