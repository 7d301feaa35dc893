"""The catalogues under `resources/languages`: brought up to the template, compiled, checked."""

from __future__ import annotations

import difflib
import io
import string
from collections import Counter
from collections.abc import Iterable, Iterator
from gettext import c2py
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from companion.system.resources import resource
from tests.languages.template import template

DOMAIN = "homeknee"
UNREAD = "not yet read by a native clinician"
_UNREAD_SAID = "No clinician who speaks this language has read it yet."
HEADER = f"""\
# homeknee in another language. How to translate: resources/languages/TRANSLATING.md
# This language is {UNREAD}."""


def folder(tag: str) -> Path:
    """Where a language lies."""
    return resource("languages", tag)


def tags() -> list[str]:
    """The languages that are there, whole or begun."""
    return sorted(path.parent.name for path in resource("languages").glob(f"*/{DOMAIN}.po"))


def read(path: Path, tag: str) -> Catalog:
    """A catalogue as it lies on the disk. Raises OSError."""
    with path.open("rb") as file:
        return read_po(file, locale=tag.replace("-", "_"), domain=DOMAIN)


def unread(catalogue: Catalog) -> str:
    """What is said of it, in it, as long as its header carries the mark."""
    message = catalogue.get(_UNREAD_SAID) if UNREAD in catalogue.header_comment else None
    return str(message.string or "") if message is not None and not message.fuzzy else ""


def po_bytes(catalogue: Catalog) -> bytes:
    """A catalogue as text: its messages by the files that say them, without line numbers, so that
    a change elsewhere in a file changes nothing here."""
    made = io.BytesIO()
    write_po(made, catalogue, width=100, include_lineno=False, sort_by_file=True)
    return made.getvalue()


def mo_bytes(catalogue: Catalog) -> bytes:
    """A catalogue as the program loads it: what is translated and not in doubt."""
    made = io.BytesIO()
    write_mo(made, catalogue)
    return made.getvalue()


def merged(tag: str, old: Catalog | None) -> Catalog:
    """The template with every translation of `old` that still fits. One whose English was changed a
    little is kept, marked as in doubt; the others are thrown away."""
    new = template()
    made = Catalog(locale=tag.replace("-", "_"), domain=DOMAIN, project=DOMAIN, charset="utf-8")
    made.header_comment = HEADER
    made.fuzzy = False
    if old is not None:  # its head is the translators': their words, and the mark, until it is gone
        for name in ("header_comment", "creation_date", "revision_date", "last_translator"):
            setattr(made, name, getattr(old, name))
        made.language_team = old.language_team
    known = {_key(message): message for message in old or () if message.id}
    asked = {_key(message) for message in new if message.id}
    gone = {str(_english(m)): m for k, m in known.items() if k not in asked and _done(m)}
    for message in new:
        if not message.id:
            continue
        was, flags = known.get(_key(message)), set(message.flags)
        if was is None and gone:
            near = difflib.get_close_matches(_english(message), gone, 1, 0.8)
            was = gone[near[0]] if near else None
            if was is not None and isinstance(was.id, str) == isinstance(message.id, str):
                flags.add("fuzzy")
            else:
                was = None
        elif was is not None and was.fuzzy:
            flags.add("fuzzy")
        made.add(
            message.id,
            was.string if was is not None else None,
            locations=message.locations,
            flags=flags,
            context=message.context,
            user_comments=was.user_comments if was is not None else (),
        )
    return made


def _key(message: Message) -> tuple[str, object]:
    return message.context or "", message.id


def _english(message: Message) -> str:
    return message.id if isinstance(message.id, str) else message.id[0]


def _done(message: Message) -> bool:
    return all(_strings(message))


def _strings(message: Message) -> tuple[str, ...]:
    held = message.string
    return (held,) if isinstance(held, str) else tuple(held or ("",))


def whole(catalogue: Catalog) -> bool:
    """Whether everything is translated and nothing in doubt: only then is a language offered."""
    return not to_do(catalogue)


def to_do(catalogue: Catalog) -> list[Message]:
    """What is not translated yet, or in doubt."""
    return [m for m in catalogue if m.id and (m.fuzzy or not _done(m))]


def faults(catalogue: Catalog) -> Iterator[str]:
    """What in a translation cannot be right, each with its English."""
    of_one_number = _of_one_number(catalogue.plural_expr)
    for message in catalogue:
        if not message.id or not _done(message) or message.fuzzy:
            continue
        english = (message.id,) if isinstance(message.id, str) else message.id
        strings = _strings(message)
        asked = [_holes(one) for one in english]
        for form, said in enumerate(strings):
            try:
                held = _holes(said)
            except ValueError:
                yield f"{english[0]!r}: the braces of {said!r} do not fit together"
                continue
            if held - asked[-1] or (len(strings) == 1 and held != asked[0]):
                yield f"{english[0]!r}: {said!r} has other holes"
            elif (asked[-1] - held - {"n"} and asked[0] - held - {"n"}) or (
                len(strings) > 1 and form not in of_one_number and "n" in asked[-1] - held
            ):
                yield f"{english[0]!r}: {said!r} lacks a hole"
            if _ends(said) != _ends(english[0]):
                yield f"{english[0]!r}: {said!r} begins or ends with another space"


def _of_one_number(rule: str) -> set[int]:
    """The plural forms that stand for one number alone: only they may leave it out. In French the
    first stands for 0 and 1, in Russian for 1, 21, 31 ..."""
    form = c2py(rule)
    counted = Counter(form(n) for n in range(1000))
    return {number for number, times in counted.items() if times == 1}


def _holes(text: str) -> set[str]:
    return {
        name + (f":{spec}" if spec else "")
        for _, name, spec, _ in string.Formatter().parse(text)
        if name is not None
    }


def _ends(text: str) -> tuple[bool, bool]:
    return text[:1].isspace(), text[-1:].isspace()


def parts(catalogue: Catalog, count: int) -> list[Catalog]:
    """What is still to be translated in parts of about the same number of words, a file in one."""
    by_place: dict[str, list[Message]] = {}
    for message in to_do(catalogue):
        by_place.setdefault(message.locations[0][0], []).append(message)
    made = [Catalog(locale=catalogue.locale, charset="utf-8") for _ in range(count)]
    words = [0] * count
    total = sum(map(_words, (m for held in by_place.values() for m in held)))
    for place in sorted(by_place):
        number = next((i for i in range(count) if words[i] < total / count), count - 1)
        for message in by_place[place]:
            made[number][message.id] = message
        words[number] += sum(map(_words, by_place[place]))
    return made


def _words(message: Message) -> int:
    return len(_english(message).split())


def taken_back(catalogue: Catalog, filled: Iterable[Catalog]) -> int:
    """Put the translations of parts into the whole; how many came."""
    came = 0
    for part in filled:
        for message in part:
            if message.id and _done(message) and not message.fuzzy:
                ours = catalogue.get(message.id, message.context)
                if ours is not None:
                    ours.string = message.string
                    ours.flags.discard("fuzzy")
                    came += 1
    return came
