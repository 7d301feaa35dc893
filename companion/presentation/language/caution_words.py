"""Cautions in words: what one asks for at home, and how the clinic answered it."""

from collections.abc import Iterable

from companion.care.catalogue import Catalogue
from companion.care.caution_rules import counting_answers, not_asked_yet
from companion.care.policy import Ask
from companion.care.records import CautionAnswer, Plan
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable, Wording
from companion.presentation.language.field_words import key_words
from companion.presentation.language.phrases import listed, parted, phrase


class AskWords(Wording):
    """To the person, to the helper, and for the clinic."""

    person: str
    helper: str
    clinic: str


ASKS: CodeTable[Ask, AskWords] = CodeTable(
    Ask,
    {
        "helper_there": AskWords(
            "Your helper must be there.", "You must be there all the time.", "a helper is there"
        ),
        "both_hands": AskWords(
            "Hold on with both hands: a rail, a worktop or the chair.",
            "See that both hands hold on: a rail, a worktop or the chair.",
            "both hands on support",
        ),
        "somebody_there": AskWords(
            "Have somebody with you.", "Stand within reach.", "somebody there"
        ),
        "chair_behind": AskWords(
            "Put a firm chair right behind you.",
            "Put a firm chair right behind the person.",
            "a chair behind",
        ),
        "rise_slowly": AskWords(
            "Sit for 2 minutes first. Stand up slowly, stand still, hold on.",
            "Let the person sit for 2 minutes, stand up slowly and stand still.",
            "two minutes sitting before rising",
        ),
        "firm_grip": AskWords(
            "Grip the rail. Does your hand slip or hurt? Then no standing steps today.",
            "Watch the grip on the rail. Does a hand slip? Then no standing steps today.",
            "a firm grip on the rail",
        ),
        "shoes_and_feet": AskWords(
            "Look at both feet, also between the toes. Is there a sore or a hot spot? Then do not "
            "stand on it today. Put on firm shoes.",
            "Look at both feet, also between the toes. Is there a sore or a hot spot? Then no "
            "standing steps today. Firm shoes on.",
            "shoes and feet looked at",
        ),
        "firm_shoes": AskWords("Put on firm shoes.", "See that firm shoes are on.", "firm shoes"),
        "light_on": AskWords(
            "Put the light on, and your glasses if you have them. Clear the floor.",
            "Put the light on. Clear the floor.",
            "light on, floor clear",
        ),
        "phone_on_you": AskWords(
            "Put your phone in your pocket.",
            "See that the phone is at hand.",
            "phone on the person",
        ),
        "own_pace": AskWords(
            "Go at your own pace. You should be able to talk. Keep your spray or inhaler by you.",
            "Let the person go at their own pace, able to talk. Spray or inhaler at hand.",
            "own pace, able to talk, spray or inhaler at hand",
        ),
        "breathe_out": AskWords(
            "Breathe out as you work. Never hold your breath.",
            "Count aloud together, so that the breath is not held.",
            "breath never held",
        ),
        "watch_calf": AskWords(
            "Is your calf newly sore or swollen? Press Stop.",
            "Is a calf newly sore or swollen? Press Stop.",
            "a newly sore or swollen calf counts as a warning sign",
        ),
        "heat_counts": AskWords(
            "Is the knee hot or swollen? It counts, even with no fever. Press Stop.",
            "Is the knee hot or swollen? It counts, even with no fever. Press Stop.",
            "a hot or swollen knee counts without fever",
        ),
        "mind_hip": AskWords(
            "Do not bend your hip past a right angle. Do not cross your legs or turn on the leg.",
            "Mind the hip: not past a right angle, legs not crossed, no turn on the leg.",
            "hip not past a right angle, legs not crossed, no turn on the leg",
        ),
        "no_deep_bend": AskWords(
            "Use a high firm seat. No deep bend, and no twist on the leg.",
            "A high firm seat. No deep bend, and no twist on the leg.",
            "no deep bend and no twist under load",
        ),
        "short_of_end": AskWords(
            "Stop short of quite straight. Does the kneecap feel loose? Stop.",
            "Stop short of quite straight. Does the kneecap feel loose? Stop.",
            "not to the end of straightening",
        ),
        "not_flat": AskWords(
            "Do not lie flat on your back. Sit half up, with pillows behind you.",
            "Not flat on the back: half sitting, with pillows.",
            "not flat on the back",
        ),
        "lightest_hands": AskWords(
            "Use your lightest hands.", "Use your lightest hands.", "lightest hands"
        ),
        "not_over_veins": AskWords(
            "Keep off the thick veins. Do not press on them.",
            "Keep off the thick veins. Do not press on them.",
            "not over varicose veins",
        ),
        "not_over_patches": AskWords(
            "Keep off sore or scaly skin. Is there no room beside it? Leave the step out.",
            "Keep off sore or scaly skin. Is there no room beside it? Leave the step out.",
            "not over diseased skin",
        ),
        "daily_look": AskWords(
            "Have your helper look at the skin round the tape every day.",
            "Look at the skin round the tape every day.",
            "a helper looks at the skin every day",
        ),
    },
)


SAID_ELSEWHERE: tuple[Ask, ...] = ("lightest_hands", "daily_look")
"""By the pressure word of the step, and once the tape is on."""
_ON_TAPE: dict[Ask, str] = {
    "not_over_veins": "No tape over the thick veins. Is there no room? Leave it off.",
    "not_over_patches": "No tape over sore or scaly skin. Is there no room? Leave it off.",
}
"""Before tape, what is to be kept off is said of the tape."""


def asked_for(asks: Iterable[Ask], *, helping: bool = False, tape: bool = False) -> tuple[str, ...]:
    """The sentences, each once."""
    said = []
    for ask in asks:
        words = ASKS[ask]
        own = words.helper if helping else words.person
        said.append(phrase(_ON_TAPE[ask]) if tape and ask in _ON_TAPE else own)
    return tuple(dict.fromkeys(said))


def answered_yes(plan: Plan, catalogue: Catalogue) -> tuple[CautionAnswer, ...]:
    """The answers that count and are a yes, in the order they are asked."""
    counting = counting_answers(plan)
    answers = (counting.get(row.caution) for row in catalogue.policy.cautions)
    return tuple(answer for answer in answers if answer is not None and answer.answer)


def yes_words(answer: CautionAnswer, catalogue: Catalogue) -> str:
    """A yes for the clinic, with what was opened or closed on judgement, and why."""
    words = key_words("caution", answer.caution, catalogue)
    told = []
    if answer.allowed:
        told.append(phrase("opened: {why}", why=reason_words(answer)))
    if answer.closed:
        parts = listed(codes.PARTS[part].clinic for part in answer.closed)
        told.append(phrase("closed: {parts}", parts=parts))
    return phrase("{caution} ({told})", caution=words, told=parted(told)) if told else words


def reason_words(answer: CautionAnswer) -> str:
    """Why a caution was opened all the same."""
    code = answer.reason
    told = None if code in (None, "other") else codes.OVERRULE_REASONS[code].clinic
    parts = [part for part in (told, answer.reason_words) if part]
    return listed(parts) or phrase("no reason kept")


def not_asked_words(plan: Plan, catalogue: Catalogue) -> str | None:
    """How many cautions came to the list after the plan was written; None for none."""
    count = len(not_asked_yet(plan, catalogue.policy))
    if not count:
        return None
    return phrase(
        "{n} caution was added since this plan was written: ask it at the next visit",
        "{n} cautions were added since this plan was written: ask them at the next visit",
        n=count,
    )
