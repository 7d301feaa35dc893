"""The pages of the 30-second chair stand, and its result beside what is published."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from companion.care import chair_questions as walk
from companion.care.records import Plan
from companion.evidence.chair_stand import OLDEST, YOUNGEST, limits
from companion.evidence.figures import ChairStand
from companion.presentation.home.card_pages import about_card, card_block
from companion.presentation.home.front import written_down
from companion.presentation.home.looking_over import look_over_view, plain
from companion.presentation.home.walk_view import ViewContext, pain_scale, view_of
from companion.presentation.language import codes
from companion.presentation.language.code_table import CodeTable, Wording
from companion.presentation.language.phrases import long_day, phrase
from companion.presentation.language.words import yes_or_no
from companion.presentation.view.figures import chair_stand_picture
from companion.presentation.view.page import (
    Block,
    Bulleted,
    Button,
    Callout,
    Choose,
    Heading,
    LookOverLine,
    Number,
    Numbered,
    Option,
    PageView,
    Picture,
    Text,
    Timer,
    make_page,
    next_page,
)


def chair_name() -> str:
    """What it is called at Home."""
    return phrase("Up from a chair, 30 seconds")


def chair_line(due: bool | None) -> str:
    """How it stands today, one line; empty where the plan does not offer it."""
    if due is None:
        return ""
    return phrase("Good to do now, for your clinic") if due else phrase("How often you can get up")


def with_chair_stand(visit: PageView, due: bool | None) -> PageView:
    """The page of the visit with the way to the count, said as due while it is; unchanged where
    the plan does not offer it."""
    if due is None:
        return visit
    told: tuple[Block, ...] = ()
    if due:
        told = (
            Callout(
                phrase("Your clinic asks how often you can get up in 30 seconds."),
                phrase("Before your visit"),
            ),
        )
    way = Button(chair_name(), (("do", "chair"),))
    return replace(visit, blocks=(*told, *visit.blocks), others=(*visit.others, way))


@view_of.register
def _(page: walk.ChairClosedPage, setting: ViewContext) -> PageView:
    sign = setting.catalogue.sign(page.sign)
    return make_page(
        page.key,
        phrase("Not today"),
        Text(phrase("You ticked: {sign}", sign=phrase(sign.words)), "strong"),
        card_block(sign, setting.plan, setting.catalogue, setting.now),
        *about_card(sign, setting),
        main=Button(phrase("To the front page")),
        enter_answers=False,
    )


@view_of.register
def _(page: walk.ChairPage, setting: ViewContext) -> PageView:
    someone = (
        phrase("Somebody stands beside you. Your plan says so.")
        if page.safe == "with_someone"
        else phrase("Have somebody near if you can.")
    )
    return next_page(
        page.key,
        phrase("The chair"),
        Text(phrase("How often can you get up in 30 seconds?")),
        Bulleted(
            (
                phrase("Take a firm chair with a straight back."),
                phrase("The seat is about 43 cm high. That is 17 inches."),
                phrase("Put its back against a wall, so that it cannot slip."),
                phrase("Wear flat shoes."),
                someone,
            )
        ),
        Number(
            "seat_cm",
            phrase("How high is the seat? You may leave it out."),
            phrase("cm"),
            20,
            80,
        ),
        main=phrase("The chair stands firm"),
    )


@view_of.register
def _(page: walk.SomeonePage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("Is somebody with you?"),
        Text(phrase("Your plan says: only with somebody there.")),
        Choose(
            "there",
            phrase("Your answer"),
            (Option("yes", phrase("Yes, beside me")), Option("no", phrase("No"))),
        ),
    )


@view_of.register
def _(page: walk.HowPage, setting: ViewContext) -> PageView:
    drawn = chair_stand_picture(setting.side)
    return next_page(
        page.key,
        phrase("How it is done"),
        *(() if drawn is None else (Picture(drawn),)),
        Numbered(
            (
                phrase("Sit in the middle of the seat. Both feet are flat on the floor."),
                phrase("Cross your arms. Each hand holds the other shoulder."),
                phrase("Stand up fully. Sit down fully. That is one."),
                phrase("Go at your own pace. You may rest, but the time runs on."),
            )
        ),
        Text(phrase("More than half-way up when the time is over counts as one.")),
        Text(phrase("If you use your arms, it counts as 0.")),
        Callout(
            " ".join(
                (
                    phrase("Stop if the pain goes above {n}.", n=page.ceiling),
                    phrase("Dizzy, faint or sweating? Sit down and press Stop."),
                )
            ),
            phrase("When to stop"),
        ),
    )


@view_of.register
def _(page: walk.TryPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("First, try it once"),
        Text(phrase("Cross your arms. Stand up once, and sit down.")),
        Choose(
            "stood",
            phrase("Could you do it?"),
            (
                Option("yes", phrase("Yes, with my arms crossed")),
                Option("arms", phrase("Only with my arms")),
                Option("no", phrase("No")),
            ),
        ),
        pain_scale("pain", phrase("How much did it hurt?")),
        Text(phrase("Above {n}: no count today.", n=page.ceiling), "quiet"),
    )


@view_of.register
def _(page: walk.CountPage, setting: ViewContext) -> PageView:
    return PageView(
        key=page.key,
        heading=phrase("30 seconds"),
        blocks=(
            # Above the count nothing but the heading: its button must be in sight at once.
            Timer(
                "seconds",
                walk.SECONDS,
                get_ready_seconds=walk.GET_READY_SECONDS,
                pausable=False,
            ),
            Text(
                phrase("The count begins {n} seconds after Ready.", n=walk.GET_READY_SECONDS),
                "strong",
            ),
            Text(phrase("Count each time you stand, or have it counted.")),
        ),
        main=Button(phrase("The time is over"), (("outcome", "done"),)),
        others=(Button(phrase("I had to stop"), (("outcome", "stopped"),), asks=False),),
        enter_answers=False,
    )


@view_of.register
def _(page: walk.ShortPage, setting: ViewContext) -> PageView:
    return make_page(
        page.key,
        phrase("The 30 seconds were not over"),
        Text(phrase("So nothing is written down.")),
        Text(phrase("Rest first. Then try again, or leave it for another day.")),
        main=Button(phrase("Try again"), (("again", "yes"),)),
        others=(Button(phrase("Leave it for today"), (("again", "no"),)),),
    )


@view_of.register
def _(page: walk.HowManyPage, setting: ViewContext) -> PageView:
    return next_page(
        page.key,
        phrase("How many?"),
        Number(
            "count",
            phrase("How often did you stand up in the 30 seconds?"),
            phrase("times"),
            0,
            walk.MOST_STANDS,
            needed=True,
        ),
        Text(phrase("More than half-way up at the end counts as one.")),
        Choose(
            "arms",
            phrase("Did you use your arms to get up?"),
            (Option("no", phrase("No")), Option("yes", phrase("Yes"))),
        ),
    )


class NotNowWords(Wording):
    """Why there is no count today, and what to do."""

    why: str
    then: str


_NOT_NOW: CodeTable[walk.NotNowSaid, NotNowWords] = CodeTable(
    walk.NotNowSaid,
    {
        "locked": NotNowWords(
            "A sign you ticked is still open, or your plan says no to it.",
            "So no standing against the clock today.",
        ),
        "bad_day": NotNowWords(
            "It is a bad day for your knee.", "Do it on a day that is as usual."
        ),
        "not_ready": NotNowWords(
            "Not all is ready for it.", "Do it on a day when all of that is there."
        ),
        "nobody_there": NotNowWords(
            "Your plan says: only with somebody there.",
            "Do it when somebody can stand beside you.",
        ),
        "pain": NotNowWords(
            "It hurt more than {ceiling}. Your plan says: stop there.",
            "Sit down and rest. If it does not settle, press Stop.",
        ),
        "no_stand": NotNowWords(
            "So the count is left out today.",
            "Tell your clinic at your visit. Is this new or worse? Press Stop.",
        ),
        "stopped": NotNowWords(
            "Sit down and rest. Nothing is written down.",
            "Dizzy, faint or sweating? Press Stop.",
        ),
    },
)


@view_of.register
def _(page: walk.NotNowPage, setting: ViewContext) -> PageView:
    words = _NOT_NOW[page.reason].filled(ceiling=page.ceiling)
    return next_page(
        page.key,
        phrase("Not today"),
        Text(words.why),
        Text(words.then),
        main=phrase("To the front page"),
    )


@view_of.register
def _(page: walk.ChairLookOverPage, setting: ViewContext) -> PageView:
    end = page.end
    counted = setting.door(walk.HowManyPage) or setting.door(walk.TryPage)
    lines = _lines(end.count or 0, arms_used=end.arms_used, door=counted)
    if end.seat_cm is not None:
        door = setting.door(walk.ChairPage)
        lines.append(LookOverLine(phrase("Seat"), phrase("{n} cm", n=end.seat_cm), door))
    return look_over_view(page.key, lines, main=Button(phrase("Write it down")))


def _lines(count: int, *, arms_used: bool, door: str = "") -> list[LookOverLine]:
    lines = [
        LookOverLine(phrase("Stood up"), phrase("{n} time", "{n} times", n=count), door),
        LookOverLine(phrase("Arms used"), yes_or_no(arms_used), door),
    ]
    if arms_used:
        lines.append(LookOverLine(phrase("Counts as"), "0"))
    return lines


# ---------------------------------------------------------------- the result


def chair_result_view(at: datetime, stands: Sequence[ChairStand], plan: Plan) -> PageView:
    """The newest count: beside the table, and beside the first one."""
    last = stands[-1]
    blocks: list[Block] = [plain(_lines(last.count, arms_used=last.arms_used))]
    blocks.append(Heading(phrase("Beside the published table")))
    blocks += [Text(line) for line in table_lines(last, plan)]
    if last.published:
        blocks.append(Text(phrase("Source: CDC, 30-Second Chair Stand, 2017."), "quiet"))
    blocks.append(Heading(phrase("Beside your first count")))
    blocks += [Text(line) for line in change_lines(stands)]
    if last.change is not None:
        blocks.append(
            Text(
                phrase("Source: Gill 2022, at one sitting. The error is about 2.5 times."), "quiet"
            )
        )
    return PageView(
        key="finished",
        heading=written_down(at),
        blocks=tuple(blocks),
        main=Button(phrase("To the front page")),
        above=chair_name(),
        mark=phrase("Practice plan: not for a real knee") if plan.practice else "",
        back=False,
    )


def table_lines(stand: ChairStand, plan: Plan) -> tuple[str, ...]:
    """What the published table says of a count, or why it says nothing."""
    rows, below = limits(stand.day.year, plan.birth_year, plan.sex)
    if plan.birth_year is None:
        return (
            phrase("There is no published value for you."),
            phrase("It needs your year of birth, and your plan does not hold it."),
        )
    if below is None:
        return (
            phrase("There is no published value for your age."),
            phrase("The table goes from {young} to {old}.", young=YOUNGEST, old=OLDEST),
        )
    if plan.sex is None:
        told = [
            phrase(
                "At {young} to {old}, below average is fewer than {men} for men.",
                young=row.age_from,
                old=row.age_to,
                men=row.men,
            )
            + " "
            + phrase("For women it is fewer than {women}.", women=row.women)
            for row in rows
        ]
    else:
        told = [
            phrase(
                "For {people} of {young} to {old}, below average is fewer than {limit}.",
                people=codes.SEX[plan.sex].many,
                young=row.age_from,
                old=row.age_to,
                limit=limit,
            )
            for row, limit in zip(rows, below, strict=True)
        ]
    match stand.below_average:
        case None if plan.sex is None:
            told.append(phrase("Your plan does not say which holds for you."))
        case None:
            told.append(phrase("Which one holds depends on your birthday."))
        case True:
            told += [
                phrase("Yours counts as {n}: below average.", n=stand.score),
                phrase("Then a fall is more likely. Tell your clinic."),
            ]
        case False:
            told.append(phrase("Yours counts as {n}: not below average.", n=stand.score))
    told.append(phrase("It is about falls. It is no mark for your knee."))
    return tuple(told)


def change_lines(stands: Sequence[ChairStand]) -> tuple[str, ...]:
    """The newest count against the first one without arms, and what may be chance."""
    last = stands[-1]
    practice = phrase("A second try is often a little higher, by practice alone.")
    if last.arms_used:
        return (phrase("With arms it is not compared."),)
    if last.change is None:
        return (phrase("This is the first one without arms."), practice)
    first = next(stand for stand in stands if not stand.arms_used)
    more, n = last.change > 0, abs(last.change)
    compared = phrase(
        "First {first}, on {day}. Now {now}.",
        first=first.count,
        day=long_day(first.day),
        now=last.count,
    )
    if not n:
        return (compared,)
    changed = phrase("{n} more.", n=n) if more else phrase("{n} fewer.", n=n)
    weighed = (
        phrase("At one sitting, 3 or more is beyond what chance gives.")
        if last.beyond_measurement_error
        else phrase("1 or 2 may be chance.")
    )
    apart = phrase("Between two months chance gives more. How much is not known.")
    return (f"{compared} {changed}", weighed, apart, *((practice,) if more else ()))
