"""Walks for tests: a plan that was taught whole, any answer to any page, and a walk to its end."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any, TypeVar, get_args

from hypothesis import strategies as st

from companion.care import (
    chair_questions,
    clearing,
    day_questions,
    evening,
    ready,
    routine,
    stopping,
    taping,
)
from companion.care.bad_days import BadDays, Spell
from companion.care.dose import Dose, DoseWhy
from companion.care.flow import Answer, Given, Walk, WalkPage
from companion.care.levels import PARTS
from companion.care.policy import Ask, PartAsks
from companion.care.records import (
    AfterLast,
    CautionAnswer,
    Contact,
    Exercise,
    LastFortnight,
    Plan,
    Skin,
    StairsWay,
    Technique,
    Zone,
)
from companion.care.step_limits import TAPE_FEELINGS
from companion.wire.catalogue_reading import read_catalogue
from tests.builders import DAY, at, plan
from tests.care.asking import answer_asked, asked

T = TypeVar("T")
Choose = Callable[[Sequence[Any]], Any]

CATALOGUE = read_catalogue(Path(__file__).parents[2] / "resources")
TECHNIQUES = tuple(
    Technique(technique=sheet.id, seconds=sheet.seconds.default, taught_on=DAY)
    for sheet in CATALOGUE.techniques
)
EXERCISES = tuple(
    Exercise(exercise=sheet.id, repeats=sheet.repeats.default, taught_on=DAY)
    for sheet in CATALOGUE.exercises
)
NO_CAUTIONS = tuple(
    CautionAnswer(caution=caution.id, answer=False, on=DAY)
    for caution in CATALOGUE.cautions.cautions
    if not caution.dated
)
SIGNS = tuple(
    sign.id
    for sign in CATALOGUE.stop_list.signs
    if sign.asked_when not in ("stop", "follows", "state")
)
"""Those with a row of their own."""
MILD = {
    sign.id
    for sign in CATALOGUE.stop_list.signs
    if CATALOGUE.policy.sign(sign.id).ends != "session"
}
"""Signs after which a session goes on, without what they close."""
GATE_ROWS, STOP_ROWS = "list", "stop:1:list"
"""What the keys of the rows begin with, behind the gate and behind Stop."""


def ticking(sign_id: str, rows: str = GATE_ROWS) -> dict[str, Any]:
    """The answers by page that make one sign hold: its row, the questions behind it, or nothing
    ticked of what is not sure."""
    signs = CATALOGUE.stop_list.signs
    sign = CATALOGUE.sign(sign_id)
    led = [row for row in signs if sign_id in {lead.sign for lead in row.leads}]
    unsure = [q.number for q in CATALOGUE.short_gate.questions if q.not_sure == sign_id]
    row = (led or [sign])[0]
    number = unsure[0] if unsure else row.question
    ticked = [] if unsure else [row.id] if sign.two_of is None else [*sign.two_of.signs[:2]]
    groups = [lead.met_when for lead in row.leads if lead.sign == sign_id]
    yes = groups[0][0] if groups and groups[0] else ()
    replies = {q.id: "yes" if q.id in yes else "no" for q in row.questions}
    every = {f"q{q.number}": "no" for q in CATALOGUE.short_gate.questions}
    return {
        "gate": every | {f"q{number}": "yes"},
        "stop:1": {"about": "help" if sign.asked_when == "stop" else str(number)},
        f"{rows}:1:topics": {"topics": []},
        f"{rows}:1": {"signs": ticked, "rest": "not_sure"},
        f"{rows}:1:{row.id}:ask": replies,
        card_of(sign_id, rows): {"card": "read"},
    }


def card_of(sign_id: str, rows: str = GATE_ROWS) -> str:
    """The key of its card then."""
    help_now = CATALOGUE.sign(sign_id).asked_when == "stop"
    return f"stop:1:{sign_id}:card" if help_now else f"{rows}:1:{sign_id}:card"


STANDING = {sheet.id for sheet in CATALOGUE.exercises if sheet.standing}
SCORES = range(11)
ASKS = tuple(PartAsks(part=part, asks=get_args(Ask)) for part in PARTS)
"""Everything a caution can ask for, in every part."""
SPELLS = (
    Spell(since=DAY, pressed=True, sessions=0, call=None),
    Spell(since=DAY, pressed=False, sessions=3, call="no_flare_plan"),
)
"""One that was pressed, and one of three bad sessions."""


def taught_plan(tape: dict[str, Any] | None = None, **fields: Any) -> Plan:
    """A plan of which everything was shown back and no caution holds; tape tolerated in clinic."""
    whole: dict[str, Any] = {
        "techniques": TECHNIQUES[:3],
        "exercises": EXERCISES,
        "cautions": NO_CAUTIONS,
        "contacts": (Contact(role="clinic", label="Pellan Harbour clinic", number="555 0100"),),
        "activities": ("Walk to the quay", "Climb the harbour steps"),
    }
    return plan({"patch_test": "tolerated_in_clinic"} | (tape or {}), **(whole | fields))


def start_of(of: Plan, **fields: Any) -> routine.RoutineStart:
    """A start on which nothing is off."""
    whole: dict[str, Any] = {
        "side": "right",
        "asked_signs": tuple(s.id for s in CATALOGUE.stop_list.signs if s.asked_when == "always"),
        "starting_stage": min(of.tape.start, of.tape.highest),
        "techniques": of.techniques,
        "exercises": of.exercises,
        "bad": BadDays(mark=None if of.bad_day_mark_off else of.bad_day_mark),
    }
    return routine.RoutineStart(**(whole | fields))


def names_of(plan: Plan) -> tuple[str, ...]:
    """Every step and exercise of a plan."""
    hands = (one.technique for one in plan.techniques)
    return (*hands, *(one.exercise for one in plan.exercises))


def _choice(random: Random) -> Choose:
    return random.choice


choices: st.SearchStrategy[Choose] = st.randoms(use_true_random=False, note_method_calls=True).map(
    _choice
)
"""Choices drawn one by one: even over what there is, so that walks get far. A walk that fails
shrinks towards the first of each, and every choice of the shortest is told."""


def chooser(seed: int) -> Choose:
    """Choices that follow from a number, where many walks are made to be looked at."""
    return Random(seed).choice


def any_plan(choose: Choose) -> Plan:
    """A plan anywhere within what the rules allow, all of it taught."""
    return taught_plan(
        {
            "when": choose(["never", "if_missed", "if_missed", "always", "always", "outings"]),
            "start": choose([1, 2]),
            "highest": choose([0, 1, 2, 2]),
        },
        rounds=choose([1, 2, 3]),
        check_moves=choose(range(2, 9)),
        ease_target_percent=choose(range(10, 101)),
        stop_amount=choose(range(1, 6)),
        pain_ceiling=choose(range(1, 10)),
        low_score=choose(range(5)),
        bad_day_mark=choose([None, choose(SCORES)]),
        techniques=tuple(some(choose, TECHNIQUES, 3)) or choose([TECHNIQUES[:1], ()]),
        rest_pain_limit=choose([None, None, *range(1, 10)]),
        exercise_ceiling=choose([None, None, *range(1, 10)]),
        flare_plan=choose([None, "Rest it after lunch."]),
        exercises=tuple(
            replace(exercise, on_bad_days=choose([None, None, "easier", "left_out"]))
            for exercise in some(choose, EXERCISES, 3)
        ),
    )


def any_start(choose: Choose, of: Plan) -> routine.RoutineStart:
    """A start a service could hand in for a plan: no technique means hands are off."""
    wearing = choose([0] * 14 + [1, 2])
    hands_off: Any = choose([None] * 14 + ["done_today", "resting"])
    if wearing:
        hands_off = "tape_on"
    elif not of.techniques:
        hands_off = "not_in_plan"
    highest = of.tape.highest
    names = names_of(of)
    return start_of(
        of,
        known_steps=choose([(), names, tuple(some(choose, names, 3)) if names else ()]),
        may_know=choose([False, True]),
        hands_off=hands_off,
        wearing_stage=wearing,
        list_reason=choose([None, None, None, "weekly"]),
        asked_signs=SIGNS,
        known_signs=choose([(), (), (), ("gives_way_new", "stiff_mornings")]),
        open_signs=choose(
            [(), (), (), (), (), (asked("skin_broken"),), (asked("lump"), asked("unwell"))]
        ),
        two_knees=choose([False, False, True]),
        tape_off=choose([(), (), (), ("rest",)]),
        tape_by_trial=choose([False] * 7 + [True]),
        starting_stage=choose(range(1, highest + 1)) if highest else 0,
        helper_needed=choose([True, False]),
        asks=choose([()] * 5 + [ASKS]),
        ask_about_ten=choose([True, False]),
        known_zones=choose([(), ("back_of_knee",)]),
        bad=BadDays(
            mark=None if of.bad_day_mark_off else of.bad_day_mark,
            running=choose([0, 0, 1, 2]),
            spell=choose([None, None, None, *SPELLS]),
        ),
        other_knee_bad=choose([False] * 7 + [True]),
        doses=tuple(
            routine.SaidDose(
                said=said,
                dose=Dose(
                    steps=choose([0, 1, 2]),
                    rounds=choose(range(1, of.rounds + 1)),
                    repeats=tuple(choose(range(1, one.repeats + 1)) for one in of.exercises),
                    why=choose(get_args(DoseWhy)),
                ),
            )
            for said in (None, *get_args(AfterLast))
        )
        if choose([False, True])
        else (),
    )


def some(choose: Choose, of: Sequence[T], most: int = 2) -> list[T]:
    """None, one or two of a list, without repeats."""
    found: list[T] = []
    for _ in range(choose(range(most + 1))):
        one = choose(of)
        if one not in found:
            found.append(one)
    return found


def any_answer(page: WalkPage, choose: Choose) -> Given:  # noqa: PLR0911, PLR0912, PLR0915 - one a page
    """Any answer the screen could give to a page."""
    match page:
        case stopping.GatePage():
            said = ["no"] * 12 + ["yes", "not_sure"]
            replies = {f"q{number}": choose(said) for number in page.questions}
            if page.after_last:
                replies["after_last"] = choose(get_args(AfterLast))
            each = {
                f"after_last:{side}": choose(get_args(AfterLast)) for side in page.after_last_of
            }
            return replies | each
        case stopping.KnownPage():
            return {
                sign: choose(["as_before"] * 6 + ["worse", "something_new"]) for sign in page.signs
            }
        case stopping.TopicsPage():
            return {"topics": some(choose, page.topics)}
        case stopping.StopPage():
            return {"about": choose(["help", "not_sure", "none", *map(str, page.questions)])}
        case (
            clearing.OpenSignPage()
            | clearing.TalkedPage()
            | clearing.ToldPartsPage()
            | clearing.CheckedPage()
        ):
            return answer_asked(page, choose)
        case clearing.MistakePage():
            return {"mistake": choose(["yes", "no", *(["another"] if page.another else [])])}
        case stopping.WhichKneePage():
            return {"knee": choose(["left", "right", "both"])}
        case stopping.StopListPage():
            mild = [sign for sign in page.signs if sign in MILD]
            signs = some(choose, [*mild, *mild, *page.signs])
            ticked = signs if choose(range(3)) == 0 else []
            return {"signs": ticked} | ({} if ticked else {"rest": choose(["none", "not_sure"])})
        case stopping.SignQuestionsPage():
            questions = CATALOGUE.sign(page.sign).questions
            return {q.id: choose(["yes", "no", "not_sure"]) for q in questions}
        case stopping.CardPage():
            return {"card": choose(["read", "mistake"])}
        case stopping.GoOnPage():
            return {"go_on": choose(["yes", "no", "no", "more"])}
        case ready.ReadyPage():
            return {"ready": choose(["yes", "yes", "yes", "no"])}
        case routine.SpellPage():
            return {"over": choose(["yes", "no"])}
        case routine.TenPage():
            return {"ten": choose(["worst", "can_be_worse", "not_sure"])}
        case routine.RestPainPage():
            return {"score": choose([0, 0, 1, choose(SCORES)])}
        case routine.DepthPage():
            depth = choose(["as_plan", "other"])
            return {"depth": depth, "how": "a low stool" if depth == "other" else None}
        case evening.BothRestPage():
            return {side: choose([0, 0, 1, choose(SCORES)]) for side in page.sides}
        case evening.BothMovePage():
            move = page.moves[0]
            one = any_answer(move, choose)
            return {
                **{name: said for name, said in one.items() if name != "score"},
                **{side: any_answer(move, choose)["score"] for side in page.sides},
            }
        case evening.BothExercisePage():
            return any_answer(page.page, choose)
        case evening.BothExercisesPage():
            legs = [[choose([None, 30]), choose([None, 2])] for _ in page.legs]
            outcome = choose(["done", "done", "some"])
            return {"outcome": outcome, "each": choose([None, legs]), "took": choose([None, 6000])}
        case routine.HowSetUpPage():
            return {"how": choose([None, "a low stool"])}
        case routine.KnownStepsPage():
            steps = [[choose([None, 30]), choose([None, 2])] for _ in page.steps]
            return {
                "outcome": choose(["done"] * 6 + ["some", "some"]),
                "each": choose([None, steps]),
                "took": choose([None, 6000, 6000, 3]),
            }
        case routine.EachStepPage():
            said = ["done", "done", "partly", "stopped", "not_yet"]
            return {name: choose(said) for name in page.names}
        case routine.LookOverPage():
            return {"knows": True} if page.may_know and choose([True, False]) else {}
        case routine.MovePage():
            same: dict[str, Any] = {}
            if page.role != "before":
                same["same_depth"] = choose([True, True, False])
            if page.depth:
                same["depth"] = choose(["as_plan", "as_plan", "other"])
            # Mostly moderate before and less after, so that scores rise and fall by little.
            after = page.role != "before"
            likely = [2, 3, 4, choose(SCORES)] if after else [6, 8, choose(SCORES)]
            return {"score": choose(likely)} | same
        case routine.ZonesPage():
            return {"zones": some(choose, get_args(Zone), 1)}
        case routine.StepPage() | routine.ExercisePage():
            told = {"pain": choose([None, 0, 1, choose(SCORES)])}
            return {
                "outcome": choose(["done"] * 6 + ["skipped", "stopped"]),
                "seconds": choose([None, 30]),
                "took": choose([None, 600, 600, 3]),
                # As walks begun before it had its page say it, and as they do now.
                **choose([told, {}]),
            }
        case routine.StepHurtPage():
            return {"pain": choose([None, *SCORES])}
        case routine.QuickStepPage():
            return {"outcome": choose(["done", "partly", "skipped"])}
        case taping.TapeReadyPage():
            return {
                "skin": choose(["clear"] * 5 + ["not_clear"]),
                "clean": choose(["yes"] * 5 + ["no"]),
                "reach": choose(["helper"] * 5 + ["alone", "no"]),
            }
        case taping.TapeStepPage(part="stage"):
            return {"outcome": choose(["done"] * 20 + ["stopped"])}
        case taping.TapeOnPage():
            if choose(range(4)):
                return {"tape": "on", "by": choose(["person", "helper"])}
            return {"tape": "not_on", "by": None}
        case taping.TapeCheckPage():
            return {"feelings": some(choose, TAPE_FEELINGS)}
        case taping.TapeTakenOffPage():
            return {"tape": "off"}
        case taping.RemovalPage():
            return {"off": choose(["now", "earlier", "by_itself"])}
        case taping.OffWhenPage():
            hour = choose([None, *range(24)])
            return {"day": choose(["today", "yesterday", "unknown"]), "hour": hour}
        case taping.SkinPage():
            later = ["red"] if page.when == "after_30_min" else []
            return {"skin": choose(["clear", "pink", "itchy", "blister", "broken", *later])}
        case day_questions.PainPage() | day_questions.ActivityPage():
            return {"score": choose([None, *SCORES])}
        case day_questions.DayPainsPage():
            scores = {measure: choose([None, *SCORES]) for measure in page.measures}
            return scores | ({"skin": choose([None, *get_args(Skin)])} if page.skin else {})
        case day_questions.DayActivitiesPage():
            return {f"activity:{n}": choose([None, *SCORES]) for n in range(len(page.labels))}
        case day_questions.DayRestPage():
            amounts = {f"amount:{n}": choose([None, 12.5]) for n in range(len(page.amounts))}
            return amounts | {
                "medicine": choose([None, "yes", "no"]) if page.person else None,
                "stairs": choose([None, *get_args(StairsWay)]) if page.stairs else None,
                "note": choose([None, "Long walk to the quay."]),
                "private": choose([None, "yes", "no"]),
            }
        case day_questions.LastFortnightPage():
            return {"last_fortnight": choose([None, *get_args(LastFortnight)])}
        case day_questions.DaySkinPage():
            return {"skin": choose([None, *get_args(Skin)])}
        case day_questions.MedicinePage():
            return {"medicine": choose([None, "yes", "no"])}
        case day_questions.MorningPage():
            return {
                "stiffness_minutes": choose([None, 0, 30, 720]),
                "night_pain": choose([None, "yes", "no"]),
                "swelling": choose([None, "none", "some", "much"]),
            }
        case day_questions.SignOfAnswerPage():
            return {"sign": choose([None, "as_before", "not_sure", *page.signs])}
        case day_questions.AmountsPage():
            return {f"amount:{n}": choose([None, 0, 12.5]) for n in range(len(page.amounts))}
        case day_questions.StairsPage():
            return {"stairs": choose([None, *get_args(StairsWay)])}
        case day_questions.NotePage():
            return {
                "note": choose([None, "Long walk to the quay."]),
                "private": choose([None, "yes", "no"]),
            }
        case chair_questions.SomeonePage():
            return {"there": choose(["yes", "yes", "no"])}
        case chair_questions.ChairPage():
            return {"seat_cm": choose([None, 43])}
        case chair_questions.TryPage():
            return {"stood": choose(["yes"] * 4 + ["arms", "no"]), "pain": choose(SCORES)}
        case chair_questions.CountPage():
            return {
                "seconds": choose([30, 30, None, 29]),
                "outcome": choose(["done"] * 4 + ["stopped"]),
            }
        case chair_questions.ShortPage():
            return {"again": choose(["yes", "no"])}
        case chair_questions.HowManyPage():
            return {"count": choose(range(61)), "arms": choose(["yes", "no"])}
        case clearing.OpenCardPage():
            return {"how": choose(["asked", "mistake", "not_yet"])}
        case _:
            return {}


def walked(
    walk: Callable[[], Walk[Any]], answer: Callable[[WalkPage], Given], most_pages: int = 400
) -> tuple[list[WalkPage], list[Answer], Any]:
    """The pages of a walk in order, their answers, and how it ended."""
    pages: list[WalkPage] = []
    answers: list[Answer] = []
    running = walk()
    try:
        page = next(running)
        for _ in range(most_pages):
            pages.append(page)
            submitted = answer(page)
            answers.append(Answer(page=page.key, submitted=submitted, at=at(0)))
            page = running.send(submitted)
    except StopIteration as stop:
        return pages, answers, stop.value
    raise AssertionError(f"no end after {[page.key for page in pages[-20:]]}")


def pages_of(pages: Sequence[WalkPage], cls: type[T]) -> list[T]:
    """The pages of one class."""
    return [page for page in pages if isinstance(page, cls)]
