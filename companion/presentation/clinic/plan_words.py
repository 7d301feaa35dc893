"""What speaks against a field of a plan, in one sentence, and answers in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from companion.care.catalogue import Catalogue
from companion.presentation.language import codes
from companion.presentation.language.phrases import dated, in_figures, phrase
from companion.services.plan_answers import Answer, FieldLimits, limits
from companion.services.plan_draft import DraftFault, PlanDraft


@dataclass(frozen=True, slots=True)
class Remark:
    """One sentence beside a field. `advice` blocks nothing."""

    text: str
    advice: bool = False


@dataclass(frozen=True, slots=True)
class Difference:
    """A field that differs from the last version: its name, as it was, as it is now."""

    label: str
    was: str
    now: str


def whose_plan(draft: PlanDraft) -> str:
    """Person and knee of a plan that is being written, as far as they are answered."""
    person, side = draft.answers.get("person"), draft.answers.get("side")
    code = str(person) if person else phrase("no code yet")
    found = codes.SIDES.find(side)
    if found is None:
        return phrase("{person}, no knee yet", person=code)
    return phrase("{person}, {knees}", person=code, knees=found.knee)


def fault_sentence(fault: DraftFault, catalogue: Catalogue) -> str:
    """The sentence beside the field."""
    if fault.code == "not_allowed":
        return not_allowed(fault.key)
    what = fault.what or ""
    if fault.code.endswith("_blocked"):
        what = phrase(catalogue.caution(what.rpartition(":")[2]).clinic_words)
    return phrase(catalogue.plan_form.fault_words(fault.code), what=what)


def not_allowed(key: str) -> str:
    """What is said of an answer the field must not hold."""
    if key == "person":
        return phrase("Letters, digits, dot and dash, 32 at most. A code, never a name.")
    if key.startswith("sign_off."):
        return phrase("At most {n} letters.", n=60)
    held = limits(key)
    if held.day:
        return phrase("Write a day such as 24 12 2026, or 6w for in six weeks.")
    if held.least is not None and held.most is not None:
        words = in_figures(held.least), in_figures(held.most)
        if held.whole:
            return phrase(
                "Write a whole number from {least} to {most}.", least=words[0], most=words[1]
            )
        return phrase("Write a number from {least} to {most}.", least=words[0], most=words[1])
    if held.most is not None:
        return phrase("At most {n} letters.", n=round(held.most))
    return phrase("Choose one of the answers.")


def remarks(faults: Iterable[DraftFault], catalogue: Catalogue) -> Mapping[str, tuple[Remark, ...]]:
    """What to say beside each field, faults first."""
    found: dict[str, list[Remark]] = {}
    for fault in faults:
        said = Remark(fault_sentence(fault, catalogue), fault.advice)
        found.setdefault(fault.key, []).append(said)
    return {key: tuple(dict.fromkeys(each)) for key, each in found.items()}


def range_words(held: FieldLimits) -> str:
    """What a number may be, in short words."""
    if held.least is None or held.most is None:
        return ""
    return phrase("{least} to {most}", least=in_figures(held.least), most=in_figures(held.most))


def usual_words(lowest: int, highest: int) -> str:
    """What is usual for a dose; one number where there is no choice, and no number for none."""
    if highest == 0:
        return phrase("usually none")
    if lowest == highest:
        return phrase("usually {n}", n=lowest)
    return phrase("usually {lowest} to {highest}", lowest=lowest, highest=highest)


def answer_words(answer: Answer) -> str:
    """An answer as it stands in a list of differences."""
    if answer is None:
        return phrase("none")
    if isinstance(answer, bool):
        return phrase("yes") if answer else phrase("no")
    if isinstance(answer, date):
        return dated(answer)
    if isinstance(answer, float):
        return in_figures(answer)
    return str(answer)
