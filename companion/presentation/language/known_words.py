"""What a plan marks as known, with the knee it is of."""

from companion.care.catalogue import Catalogue
from companion.care.records import KnownSign, Plan, PlanSide
from companion.presentation.language import codes
from companion.presentation.language.code_table import capital, inside
from companion.presentation.language.phrases import dated, joined, listed, phrase


def of_knee(plan: Plan, sign_id: str, catalogue: Catalogue) -> PlanSide | None:
    """The knee a known sign is of: what the plan says, in a plan for one knee that knee. None for
    a sign of no knee, and where a plan for both does not say."""
    row = catalogue.policy.of_sign(sign_id)
    if row is None or not row.known_knee:
        return None
    said = next((known.side for known in plan.known_signs if known.sign == sign_id), None)
    return said or (None if plan.side == "both" else plan.side)


def known_sign(plan: Plan, sign_id: str, catalogue: Catalogue) -> str:
    """`Left knee: gives way, without a fall`; `The knee` where an older plan does not say which."""
    sign = catalogue.sign(sign_id)
    words = phrase(sign.known_words or sign.words)
    if not catalogue.policy.sign(sign_id).known_knee:
        return words
    side = of_knee(plan, sign_id, catalogue)
    if side is None:
        return phrase("The knee: {sign}", sign=inside(words))
    return phrase("{knee}: {sign}", knee=capital(codes.SIDES[side].knee), sign=inside(words))


def known_for_file(plan: Plan, known: KnownSign, catalogue: Catalogue) -> str:
    """A known sign for the clinic: since when, and what stays open as before. What was found and
    when to look again stand in the plan."""
    said = [
        phrase(
            "{sign}, since {day}",
            sign=known_sign(plan, known.sign, catalogue),
            day=dated(known.since),
        )
    ]
    if known.stays_open:
        parts = joined(codes.PARTS[part].clinic for part in known.stays_open)
        said.append(
            phrase("open as before: {parts}", parts=parts)
            if known.support is None
            else phrase(
                "open as before: {parts}, {support}",
                parts=parts,
                support=codes.SUPPORTS[known.support].clinic,
            )
        )
    elif closes := catalogue.closes_as_before(known.sign):
        parts = joined(codes.PARTS[part].clinic for part in closes)
        said.append(phrase("closed as before: {parts}", parts=parts))
    return listed(said)
