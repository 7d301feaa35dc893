"""What could not be done, in words."""

from companion.presentation.language.phrases import phrase
from companion.services.trouble import Trouble


def trouble_words(trouble: Trouble) -> str:
    """One sentence: what is the matter."""
    if trouble.said:
        return trouble.said
    where = trouble.where or phrase("this machine")
    return phrase("The machine refused at {where}: {why}.", where=where, why=why_words(trouble))


def not_saved_words(trouble: Trouble) -> str:
    """The sentence for a place that could not be written to."""
    return phrase(
        "It could not be saved there ({why}). Nothing is lost. Choose another place.",
        why=why_words(trouble),
    )


def saved_words(name: str) -> str:
    """Where a file is now."""
    return phrase("Saved as {name}.", name=name)


def why_words(trouble: Trouble) -> str:
    """Why the machine refused, to stand inside a sentence."""
    return trouble.said or (trouble.why or phrase("unknown trouble")).lower()
