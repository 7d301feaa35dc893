"""What a plan says of signs that were open when it was written."""

from collections.abc import Iterator

from companion.care.catalogue import Catalogue
from companion.care.records import AnsweredSign, Plan
from companion.presentation.language import codes
from companion.presentation.language.field_words import key_words
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.plan_changes import side_of
from companion.presentation.language.unsigned_words import unsigned_words


def clinic_answers(plan: Plan, catalogue: Catalogue) -> tuple[str, ...]:
    """Each sign with its day, its knee and the answer, for the clinic."""
    return tuple(
        phrase("{sign}: {answer}", sign=sign, answer=codes.OPEN_SIGN_SAID[one.answer].clinic)
        for one, sign in _each(plan, catalogue)
    )


def home_answers(plan: Plan, catalogue: Catalogue) -> tuple[str, ...]:
    """The same for the person, and last that nobody licensed signed how the signs are said."""
    told = tuple(
        phrase("{sign}: {answer}.", sign=sign, answer=codes.OPEN_SIGN_SAID[one.answer].home)
        for one, sign in _each(plan, catalogue)
    )
    note = unsigned_words(catalogue)
    return (*told, note) if told and note else told


def _each(plan: Plan, catalogue: Catalogue) -> Iterator[tuple[AnsweredSign, str]]:
    for one in plan.open_signs:
        side = one.sides[0] if len(one.sides) == 1 else None
        yield (
            one,
            phrase(
                "{sign} ({day}{side})",
                sign=key_words("sign", one.sign, catalogue).rstrip("."),
                day=dated(one.since),
                side=side_of(side),
            ),
        )
