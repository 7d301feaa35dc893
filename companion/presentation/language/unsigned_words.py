"""That no licensed clinician has signed the wording, for as long as that is so."""

from companion.care.catalogue import Catalogue
from companion.care.policy import CautionPolicy, SignPolicy
from companion.presentation.language.phrases import phrase


def unsigned_words(catalogue: Catalogue, *rows: SignPolicy | CautionPolicy) -> str:
    """For whoever reads a sign, a card or what came of it; "" once the rules of these rows are
    confirmed, without a row those of the whole stop list."""
    if is_signed(catalogue, *rows):
        return ""
    return phrase("Practice wording: no licensed clinician has signed it yet.")


def unsigned_in_few_words(catalogue: Catalogue, *rows: SignPolicy | CautionPolicy) -> str:
    """The same where every word costs time (fact: gate_seconds), or room."""
    return "" if is_signed(catalogue, *rows) else phrase("No licensed clinician has signed this.")


def unsigned_for_clinic(catalogue: Catalogue) -> str:
    """The same of everything the clinic reads and ticks; "" once every rule is confirmed."""
    if all(rule.confirmed_by for rule in catalogue.policy.rules):
        return ""
    return phrase("No licensed clinician has signed the wording of signs, cards and cautions.")


def is_signed(catalogue: Catalogue, *rows: SignPolicy | CautionPolicy) -> bool:
    """Whether somebody licensed confirmed the rules of these rows; without a row, of all signs."""
    return all(
        catalogue.policy.rule(row.rule).confirmed_by for row in rows or catalogue.policy.signs
    )
