"""A small invented language, whole enough to be offered: a dozen messages, marked as unread."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from babel.messages.catalog import Catalog

from companion.presentation.language import phrases
from companion.system.resources import COMPILED
from tests.languages.catalogues import HEADER, mo_bytes, unread
from tests.languages.locale_forms import forms_bytes

TAG = "eo"
"""Its days and lists are those of Esperanto; its words are nobody's."""
WORDS: Mapping[str, str] = {
    "Begin with your plan": "Komu plunu",
    "Open the plan file": "Ovu plunu",
    "Settings and help": "Sutu helu",
    "Text size, numbers to call": "Grunu, numru",
    "Language": "Lungu",
    "As my computer is set": "Komputu",
    "Text and colours": "Tekstu kolru",
    "The diary cannot be opened": "Durnu ne ovu",
    "Your clinic gave you a plan as a file.": "Klinu donu plunu.",
    "Another window has this diary open.": "Alu fenstru.",
    "Take in a file": "Prunu filu",
    "No clinician who speaks this language has read it yet.": "Nulu klinu legu.",
}


def offer(folder: Path, *, whole: bool = True) -> None:
    """Put it below a folder of languages: compiled, or begun alone."""
    made = Catalog(locale=TAG, charset="utf-8", header_comment=HEADER)
    for english, said in WORDS.items():
        made.add(english, said)
    (folder / TAG).mkdir(parents=True)
    (folder / TAG / "forms.json").write_bytes(forms_bytes(TAG, unread(made)))
    if whole:
        (folder / TAG / COMPILED).write_bytes(mo_bytes(made))


@contextmanager
def as_before() -> Iterator[None]:
    """Afterwards what was spoken before is spoken again."""
    held = {name: getattr(phrases, name) for name in ("_translate", "_forms", "_tag")}
    try:
        yield
    finally:
        for name, value in held.items():
            setattr(phrases, name, value)
