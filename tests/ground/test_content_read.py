"""Nothing is written into the content of the trade that no part of the program reads."""

import dataclasses
import re
from pathlib import Path

import companion
from companion.care import catalogue

PACKAGE = Path(companion.__file__).parent
CHECKED_ALONE = {
    "TapeStageSteps.adds_to": "the reader holds the stages to it",
    "TapeSteps.skin_findings": "the reader holds the answers of the diary to it",
    "TechniqueSheet.contact": "a test holds the hands of the stored drawings to it",
    "TechniqueSheet.motion": "a test holds what is drawn without motion to it",
    "Sign.tape_off_now": "a test holds the cards to it; the card says it",
}
"""Fields that nothing shows or follows, and what they are there for."""


def test_every_field_of_the_content_is_read_beyond_the_reader() -> None:
    """Found by name: a name that another record uses too passes unseen."""
    texts = {
        path: path.read_text(encoding="utf-8")
        for path in PACKAGE.rglob("*.py")
        if "wire" not in path.parts
    }
    read = set(re.findall(r"\.(\w+)\b", "\n".join(texts.values())))
    unread = {
        f"{record.__name__}.{field.name}"
        for record in vars(catalogue).values()
        if isinstance(record, type)
        and dataclasses.is_dataclass(record)
        and record.__module__ == catalogue.__name__
        for field in dataclasses.fields(record)
        if field.name not in read
    }
    assert unread == set(CHECKED_ALONE)
