"""What could not be done, in words."""

from companion.exchange.taking_in import Refusal, WhyRefused
from companion.presentation.language.code_table import CodeTable, Wording, inside
from companion.presentation.language.phrases import phrase
from companion.presentation.language.said import said_words
from companion.services.trouble import Trouble


class RefusalWords(Wording):
    """Why nothing of a file is taken in: as the person at home reads it, and as the clinic does."""

    home: str
    clinic: str


REFUSED: CodeTable[WhyRefused, RefusalWords] = CodeTable(
    WhyRefused,
    {
        "another_person": RefusalWords(
            "This file is from another person (code {theirs}, this diary is {ours}). "
            "Nothing was taken in.",
            "It is from another person (code {theirs}, here {ours}).",
        ),
        "another_birth_year": RefusalWords(
            "This file has the same code ({person}) but another birth year ({theirs}, here "
            "{ours}). Nothing was taken in. Ask the clinic whose file it is.",
            "It has the code {person} and the birth year {theirs}, but here {person} was born in "
            "{ours}. Find out whose it is: one of the two needs another code.",
        ),
        "practice_plan": RefusalWords(
            "Nobody signed this plan: it is for looking round, not for a real knee. Your signed "
            "plan stays in force. Ask your clinic for the one that is signed.",
            "Nobody signed its plan (version {theirs}); version {ours} here is signed.",
        ),
        "plan_differs": RefusalWords(
            "Plan version {theirs} of this file differs from plan version {theirs} here. "
            "Nothing was taken in. Ask the clinic for a plan with a new version number.",
            "Its plan version {theirs} differs from plan version {theirs} here. A plan that was "
            "changed needs a new version number.",
        ),
        "plan_here": RefusalWords(
            "Plan version {theirs} is here already. There is nothing to take in.",
            "Plan version {theirs} is here already.",
        ),
        "plan_older": RefusalWords(
            "This plan is older (version {theirs}) than the plan in force (version {ours}). "
            "Nothing was taken in. Ask the clinic for the newest plan.",
            "Its plan is older (version {theirs}) than the plan in force (version {ours}).",
        ),
        "nothing_new": RefusalWords(
            "All of this file is in the diary already. There is nothing to take in.",
            "All of it is here already.",
        ),
    },
)


def refusal_words(refusal: Refusal) -> str:
    """Why nothing of a file is taken in, as the person at home reads it."""
    return REFUSED[refusal.why].filled(**refusal.values).home


def trouble_words(trouble: Trouble) -> str:
    """One sentence: what is the matter."""
    if trouble.said:
        return said_words(trouble.said)
    where = trouble.where or phrase("this machine")
    return phrase("The machine refused at {where}: {why}.", where=where, why=why_words(trouble))


def not_saved_words(trouble: Trouble) -> str:
    """The sentence for a place that could not be written to, or for what cannot be written."""
    if trouble.said:
        return said_words(trouble.said)
    return phrase(
        "It could not be saved there ({why}). Nothing is lost. Choose another place.",
        why=why_words(trouble),
    )


def saved_words(name: str, place: str) -> str:
    """Where a file is now."""
    return phrase("Saved as {name}: {place}.", name=name, place=place)


def why_words(trouble: Trouble) -> str:
    """Why the machine refused, to stand inside a sentence."""
    if trouble.said:
        return said_words(trouble.said)
    return inside(trouble.why) if trouble.why else phrase("unknown trouble")
