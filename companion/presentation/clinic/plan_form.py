"""The plan writer's pages as frozen data: sections of fields, each with its range and source.

A section always holds the same fields in the same order; `shown` says which of them matter for
the draft as it stands. So a screen draws a section once and then only follows it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Literal, get_args

from companion.care.catalogue import Catalogue, Caution
from companion.care.pacing import amount_in_week, weeks_to_goal
from companion.care.records import Plan, Side
from companion.care.strips import short_piece, side_strip
from companion.presentation.clinic.plan_trial import (
    how_it_goes,
    how_it_is_read,
    how_long,
    running_words,
    what_it_can_tell,
)
from companion.presentation.clinic.plan_words import (
    Difference,
    Remark,
    answer_words,
    changes_in_words,
    range_words,
    remarks,
)
from companion.presentation.language import codes
from companion.presentation.language.code_table import (
    CodeTable,
    ForClinic,
    capital,
    clinic_words,
    inside,
)
from companion.presentation.language.fact_words import known_words, source_sentence
from companion.presentation.language.phrases import dated, phrase
from companion.presentation.language.plan_changes import (
    highest_stage_words,
    move_words,
    trial_words,
)
from companion.presentation.language.words import knee, this_knee
from companion.presentation.view.page import Option
from companion.services.plan_answers import Answer, answers_of, limits
from companion.services.plan_draft import (
    DraftFault,
    PlanDraft,
    draft_faults,
    fixed_trial,
    has_trial,
    is_held,
    plan_of,
    tapes,
    ticked,
)

FieldKind = Literal["number", "text", "note", "day", "choose", "several", "tick", "yes_no"]
SectionKey = Literal[
    "person",
    "cautions",
    "session",
    "move",
    "hands",
    "limits",
    "exercise",
    "tape",
    "lengths",
    "trial",
    "activities",
    "calls",
    "sign",
]
PreviewPart = Literal["start", "move", "hands", "exercise", "tape", "trial"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field: what it is called, what it may hold, where its default is from, what is said.

    `line` explains a choice or says what a yes does. `remarks` are faults and advice.
    """

    key: str
    kind: FieldKind
    label: str
    value: Answer
    unit: str = ""
    range_words: str = ""
    least: float = 0
    most: float = 0
    decimals: int = 0
    options: tuple[Option, ...] = ()
    line: str = ""
    about: str = ""
    shown: bool = True
    remarks: tuple[Remark, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Fields that belong together. `in_row` ones stand side by side while they fit.

    `said` is what follows from the fields, such as the amounts of each week; `facts` the same as
    names and values, None where a group never has any.
    """

    heading: str = ""
    fields: tuple[Field, ...] = ()
    in_row: bool = False
    said: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] | None = None
    shown: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One page of the plan writer. `taught` offers to date everything of it as shown today."""

    key: SectionKey
    heading: str
    lead: str
    groups: tuple[Group, ...]
    preview: PreviewPart | None = None
    taught: Literal["techniques", "exercises"] | None = None

    @property
    def fields(self) -> tuple[Field, ...]:
        """All fields of the page, in order."""
        return tuple(field for group in self.groups for field in group.fields)


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the contents: the section, what it is called, what still stands in it."""

    key: SectionKey
    word: str
    line: str
    faults: int


MOST_ROWS = 5
SECTIONS: tuple[SectionKey, ...] = (
    "person",
    "cautions",
    "session",
    "move",
    "hands",
    "limits",
    "exercise",
    "tape",
    "lengths",
    "trial",
    "activities",
    "calls",
    "sign",
)
_HEADINGS: dict[SectionKey, str] = {
    "person": "Person and knee",
    "cautions": "Cautions",
    "session": "Session today",
    "move": "Check move",
    "hands": "Hands",
    "limits": "Scores and limits",
    "exercise": "Exercise",
    "tape": "Tape",
    "lengths": "Tape lengths",
    "trial": "Tape trial",
    "activities": "Activities",
    "calls": "Numbers to call",
    "sign": "Sign",
}


def section_heading(key: SectionKey) -> str:
    """What a section is called."""
    return phrase(_HEADINGS[key])


def section(key: SectionKey, draft: PlanDraft, catalogue: Catalogue) -> Section:
    """One page for the draft as it stands. The last page, signing, is `signing` instead."""
    made = _SECTIONS[key](_Maker(draft, catalogue))
    said = remarks(draft_faults(draft, catalogue), catalogue)
    known = {field.key for field in made.fields}
    groups = []
    for place, group in enumerate(made.groups):
        fields = tuple(_with_remarks(field, said.get(field.key, ())) for field in group.fields)
        # What is about the whole page, such as "no exercise", is said above its first field.
        loose = [
            remark.text
            for name, found in said.items()
            if name not in known and place == 0 and section_of(name) == key
            for remark in found
        ]
        groups.append(
            Group(
                heading=group.heading,
                fields=fields,
                in_row=group.in_row,
                said=(*loose, *group.said),
                facts=group.facts,
                shown=group.shown,
            )
        )
    return Section(
        key=made.key,
        heading=made.heading,
        lead=made.lead,
        groups=tuple(groups),
        preview=made.preview,
        taught=made.taught,
    )


def _with_remarks(field: Field, found: tuple[Remark, ...]) -> Field:
    values = {name: getattr(field, name) for name in Field.__dataclass_fields__}
    return Field(**(values | {"remarks": found}))


def section_of(key: str) -> SectionKey:
    """The page a field stands on."""
    group = key.split(".", maxsplit=1)[0]
    if key == "hands_days_a_week":
        return "hands"
    if key == "exercise_days_a_week":
        return "exercise"
    if key in ("measure", "primary_question"):
        return "activities"
    if key in _LIMITS:
        return "limits"
    if group == "tape":
        return "lengths" if key.removeprefix("tape.") in _LENGTH_FIELDS else "tape"
    return _GROUPS.get(group, "person")


_GROUPS: dict[str, SectionKey] = {
    "cautions": "cautions",
    "known_signs": "cautions",
    "check_move": "move",
    "techniques": "hands",
    "exercises": "exercise",
    "knees": "lengths",
    "activities": "activities",
    "amounts": "activities",
    "contacts": "calls",
    "chair_stand": "move",
    "sign_off": "sign",
    "session": "session",
    "trial": "trial",
}
_LIMITS = (
    "rounds",
    "check_moves",
    "ease_target_percent",
    "stop_amount",
    "pain_ceiling",
    "low_score",
    "easy_day_mark",
)
_LENGTH_FIELDS = (
    "width_mm",
    "length_from",
    "anchor_mm",
    "stretch_percent",
    "stretch_of",
    "stretch_limit_percent",
    "paper_stretch_percent",
    "knee_bend_degrees",
    "roll_mm",
    "pull",
    "pull_at",
    "pull_towards",
)


def contents(draft: PlanDraft, catalogue: Catalogue) -> tuple[Entry, ...]:
    """The contents list, each section with what still stands in it."""
    faults = draft_faults(draft, catalogue)
    entries = []
    for key in sections_of(draft):
        here = [f for f in faults if section_of(f.key) == key and not f.advice]
        advice = sum(f.advice and section_of(f.key) == key for f in faults)
        line = _standing(here, advice)
        if key == "sign":
            whole = sum(not f.advice for f in faults)
            line = (
                phrase("{n} thing to settle first", "{n} things to settle first", n=whole)
                if whole
                else phrase("ready to sign")
            )
        entries.append(Entry(key, section_heading(key), line, len(here)))
    return tuple(entries)


def _standing(here: list[DraftFault], advice: int) -> str:
    untaught = sum(f.code in ("technique_untaught", "exercise_untaught") for f in here)
    unanswered = sum(f.code == "caution_unanswered" for f in here)
    other = len(here) - untaught - unanswered
    parts = []
    if unanswered:
        parts.append(phrase("{n} to answer", n=unanswered))
    if untaught:
        parts.append(phrase("{n} to teach", n=untaught))
    if other:
        parts.append(phrase("{n} to settle", n=other))
    if advice:
        parts.append(phrase("{n} to note", n=advice))
    return ", ".join(parts) or phrase("settled")


def sections_of(draft: PlanDraft) -> tuple[SectionKey, ...]:
    """The sections of this draft: the first session only where one is written, the tape trial
    only where there is tape."""
    left_out = {
        "session": not is_held(draft),
        "trial": not (tapes(draft) or has_trial(draft)),
    }
    return tuple(key for key in SECTIONS if not left_out.get(key, False))


def neighbour(key: SectionKey, draft: PlanDraft, step: Literal[-1, 1]) -> SectionKey | None:
    """The section after or before this one; None at either end."""
    order = sections_of(draft)
    place = order.index(key) + step
    return order[place] if 0 <= place < len(order) else None


# ---------------------------------------------------------------- making fields


class _Maker:
    """Makes fields of one draft."""

    def __init__(self, draft: PlanDraft, catalogue: Catalogue) -> None:
        self.draft = draft
        self.catalogue = catalogue
        self.plan = plan_of(draft)

    def get(self, key: str) -> Answer:
        return self.draft.answers.get(key)

    def about(self, words: str, *facts: str) -> str:
        """What a field rests on: a sentence, and the sources of its facts."""
        return " ".join(filter(None, (words, source_sentence(self.catalogue.facts, facts))))

    def number(
        self,
        key: str,
        label: str,
        about: str = "",
        *,
        unit: str = "",
        shown: bool = True,
        range_said: str = "",
    ) -> Field:
        held = limits(key)
        return Field(
            key=key,
            kind="number",
            label=label,
            value=self.get(key),
            unit=unit,
            range_words=range_said or range_words(held),
            least=held.least or 0,
            most=held.most or 0,
            decimals=0 if held.whole else 1,
            about=about or self.about("", "plan_defaults"),
            shown=shown,
        )

    def text(
        self,
        key: str,
        label: str,
        *,
        line: str = "",
        many: bool = False,
        shown: bool = True,
        about: str = "",
    ) -> Field:
        held = limits(key)
        return Field(
            key=key,
            kind="note" if many else "text",
            label=label,
            value=self.get(key),
            most=held.most or 32,
            range_words=line,
            about=about or phrase("Written by the clinic."),
            shown=shown,
        )

    def day(
        self, key: str, label: str, *, about: str = "", hint: str = "", shown: bool = True
    ) -> Field:
        return Field(
            key=key,
            kind="day",
            label=label,
            value=self.get(key),
            range_words=hint or phrase("day month year"),
            about=about or phrase("Written by the clinic."),
            shown=shown,
        )

    def coded(
        self,
        key: str,
        label: str,
        table: CodeTable[Any, str | ForClinic],
        about: str = "",
        *,
        shown: bool = True,
    ) -> Field:
        """A choice among the codes of a set, in the clinic's words."""
        options = [(code, capital(clinic_words(table, code))) for code in table]
        return self.choose(key, label, options, about, shown=shown)

    def choose(
        self,
        key: str,
        label: str,
        options: Iterable[tuple[str | int | bool, str]],
        about: str = "",
        *,
        line: str = "",
        shown: bool = True,
    ) -> Field:
        return Field(
            key=key,
            kind="choose",
            label=label,
            value=self.get(key),
            options=tuple(Option(value, word) for value, word in options),
            line=line,
            about=about or self.about("", "plan_defaults"),
            shown=shown,
        )

    def several(
        self, key: str, label: str, options: Iterable[tuple[str, str]], *, shown: bool = True
    ) -> Field:
        return Field(
            key=key,
            kind="several",
            label=label,
            value=self.get(key),
            options=tuple(Option(value, word) for value, word in options),
            about=phrase("As seen today."),
            shown=shown,
        )

    def tick(
        self, key: str, label: str, about: str, *, line: str = "", shown: bool = True
    ) -> Field:
        return Field(
            key=key,
            kind="tick",
            label=label,
            value=bool(self.get(key)),
            line=line,
            about=about,
            shown=shown,
        )


def _sides() -> tuple[tuple[str, str], ...]:
    return tuple((side, capital(codes.SIDES[side].knee)) for side in get_args(Side))


def _person(make: _Maker) -> Section:
    draft = make.draft
    return Section(
        key="person",
        heading=section_heading("person"),
        lead=phrase(
            "Version {version}, written {day}.", version=draft.version, day=dated(draft.today)
        ),
        groups=(
            Group(
                fields=(
                    make.text("person", phrase("Code"), line=phrase("the clinic's own; no name")),
                    make.number(
                        "birth_year",
                        phrase("Birth year"),
                        phrase("Guards against another person's file. May stay empty."),
                    ),
                ),
                in_row=True,
            ),
            Group(
                fields=(
                    make.coded(
                        "sex",
                        phrase("Sex"),
                        codes.SEX,
                        phrase(
                            "Only to read the chair stand against its published table: CDC, "
                            "30-Second Chair Stand, 2017. May stay empty."
                        ),
                    ),
                )
            ),
            Group(
                fields=(
                    make.coded("side", phrase("Knee"), codes.SIDES),
                    make.choose(
                        "main_side",
                        phrase("Main knee"),
                        _sides(),
                        phrase("The main knee comes first on every page and in the findings."),
                        shown=make.get("side") == "both",
                    ),
                    make.coded("reason", phrase("Reason"), codes.REASONS),
                )
            ),
            Group(fields=(make.text("goal", phrase("Goal, in the person's words"), many=True),)),
            Group(
                heading=phrase("Review and replacement"),
                fields=(
                    make.day(
                        "review_on",
                        phrase("Review on"),
                        hint=phrase("day month year, or 6w for in six weeks"),
                        about=make.about(phrase("Eight weeks unless changed."), "review_after"),
                    ),
                    make.coded(
                        "replacement",
                        phrase("Knee replacement"),
                        codes.REPLACEMENT,
                        phrase(
                            "Listed: any broken skin on that leg then says to call the surgical "
                            "team. Common practice, no source."
                        ),
                    ),
                    make.day(
                        "replacement_on",
                        phrase("Operation on"),
                        shown=make.get("replacement") == "listed",
                    ),
                ),
            ),
            Group(
                heading=phrase("Session today"),
                fields=(
                    make.tick(
                        "session.held",
                        phrase("Write down a session held here today"),
                        phrase("It goes home with the plan, as a session of the clinic."),
                        line=phrase(
                            "Scores, sore places, tape and skin; asked after the cautions."
                        ),
                    ),
                ),
            ),
        ),
    )


# ---------------------------------------------------------------- cautions


def _caution(make: _Maker, caution: Caution) -> tuple[Field, Field]:
    key = f"cautions.{caution.id}"
    answer = make.get(key)
    on = make.get(f"{key}.on")
    effect = phrase(caution.clinic_effect)
    if answer is True:
        effect = phrase("Yes: {effect}", effect=effect)
    else:
        effect = phrase("A yes means: {effect}", effect=inside(effect))
    if answer is not None and on is not None and on != make.draft.today:
        effect = phrase("{effect} Answered {day}.", effect=effect, day=answer_words(on))
    liftable = {"unless_ticked", "ask_first"} & {
        *caution.hands,
        *caution.tape,
        *caution.exercise,
    }
    return (
        Field(
            key=key,
            kind="yes_no",
            label=phrase(caution.clinic_words),
            value=answer,
            line=effect,
            about=source_sentence(make.catalogue.facts, caution.facts),
        ),
        make.tick(
            f"{key}.allowed",
            phrase("Allowed all the same, on my judgement"),
            "",
            shown=answer is True and bool(liftable),
        ),
    )


def _cautions(make: _Maker) -> Section:
    asked = [c for c in make.catalogue.cautions.cautions if not c.dated]
    dated_ones = [c for c in make.catalogue.cautions.cautions if c.dated]
    known = [sign for sign in make.catalogue.stop_list.signs if sign.known_since_allowed]
    return Section(
        key="cautions",
        heading=section_heading("cautions"),
        lead=phrase(
            "Y or N answers and goes to the next. Nothing is answered beforehand; "
            "an unanswered one blocks what it guards."
        ),
        groups=(
            Group(fields=tuple(field for caution in asked for field in _caution(make, caution))),
            Group(
                heading=phrase("Written as it happens"),
                said=tuple(
                    phrase(
                        "{words}: {effect}",
                        words=phrase(caution.clinic_words),
                        effect=phrase(caution.clinic_effect),
                    )
                    for caution in dated_ones
                ),
            ),
            Group(
                heading=phrase("Known since"),
                in_row=True,
                said=(
                    phrase(
                        "A sign known to you keeps its care line at home, and still counts when "
                        "it is new or worse. Leave empty what is not known."
                    ),
                ),
                fields=tuple(
                    make.day(
                        f"known_signs.{sign.id}",
                        _KNOWN.get(sign.id, sign.words),
                        about=source_sentence(make.catalogue.facts, sign.facts),
                    )
                    for sign in known
                ),
            ),
        ),
    )


_KNOWN = {
    "gives_way_new": "The knee gives way, without a fall",
    "rest_or_night_pain": "Pain at rest or at night",
    "stiff_mornings": "Stiff for more than 30 minutes in the morning",
}


# ---------------------------------------------------------------- the first session


def _session(make: _Maker) -> Section:
    asked = [(zone.id, phrase(zone.clinic_words)) for zone in make.catalogue.zones.zones]
    taped = bool(make.get("session.stage"))
    stays = make.get("session.stays_on") is True
    scale = phrase("0 is no pain, 10 the worst imaginable: two points are a change, one is noise.")
    seen = phrase("As seen today.")
    of_ten = phrase("of 10")
    return Section(
        key="session",
        heading=section_heading("session"),
        lead=phrase("What was done in the room. Depth, make and lengths are the plan's own."),
        groups=(
            Group(
                fields=(
                    make.choose(
                        "session.side",
                        phrase("Which knee"),
                        _sides(),
                        seen,
                        shown=make.get("side") == "both",
                    ),
                    make.text(
                        "session.scoring",
                        phrase("How scoring was taught, in the person's words"),
                        many=True,
                    ),
                )
            ),
            Group(
                heading=phrase("Scores"),
                in_row=True,
                fields=(
                    make.number("session.rest_pain", phrase("At rest"), scale, unit=of_ten),
                    make.number("session.before", phrase("Move, before"), scale, unit=of_ten),
                    make.number("session.after_hands", phrase("After hands"), scale, unit=of_ten),
                    make.number("session.after_tape", phrase("With tape"), scale, unit=of_ten),
                ),
            ),
            Group(fields=(make.several("session.zones_before", phrase("Sore before"), asked),)),
            Group(
                fields=(
                    make.several(
                        "session.zones_after_hands",
                        phrase("Sore after hands"),
                        asked,
                        shown=make.get("session.after_hands") is not None,
                    ),
                )
            ),
            Group(
                heading=phrase("Chair stand, 30 s"),
                fields=(
                    make.number(
                        "session.stands",
                        phrase("Full stands"),
                        make.about(
                            phrase(
                                "Seat about 43 cm, against a wall, arms crossed. More than "
                                "half-way up at 30 s counts; arms used score 0."
                            ),
                            "chair_stand_seconds",
                        ),
                    ),
                    make.choose(
                        "session.stand_arms",
                        phrase("Arms used"),
                        _yes_no(),
                        seen,
                        shown=make.get("session.stands") is not None,
                    ),
                ),
            ),
            Group(
                heading=phrase("Tape today"),
                fields=(
                    make.choose(
                        "session.stage",
                        phrase("Put on"),
                        _stages(0),
                        phrase("The plan starts at this stage unless you change it under Tape."),
                    ),
                    make.text("tape.make", phrase("Make"), shown=taped),
                    make.coded(
                        "session.skin_before", phrase("Skin before"), codes.SKIN, seen, shown=taped
                    ),
                    make.choose(
                        "session.stays_on",
                        phrase("It goes home on the knee"),
                        _yes_no(),
                        phrase("Yes starts the wear clock at home."),
                        shown=taped,
                    ),
                    make.coded(
                        "session.skin_after",
                        phrase("Skin when it came off"),
                        codes.SKIN,
                        seen,
                        shown=taped and not stays,
                    ),
                ),
            ),
        ),
    )


# ---------------------------------------------------------------- move, hands, limits, exercise

_YES_NO = ((True, "Yes"), (False, "No"))


def _yes_no() -> tuple[tuple[bool, str], ...]:
    return tuple((value, phrase(word)) for value, word in _YES_NO)


def _move(make: _Maker) -> Section:
    name = make.get("check_move.name")
    depth = make.about(phrase("Scores compare only at the same depth."), "same_depth")
    return Section(
        key="move",
        heading=section_heading("move"),
        lead=phrase("Scored 0 to 10 before and after, always done the same way."),
        groups=(
            Group(
                fields=(
                    make.coded("check_move.name", phrase("Move"), codes.MOVES),
                    make.text(
                        "check_move.own_words",
                        phrase("What to do, as the person reads it"),
                        shown=name == "own",
                    ),
                    make.coded(
                        "check_move.safe",
                        phrase("Safe at home"),
                        codes.SAFE,
                        shown=name in ("step_down", "stairs", "own"),
                    ),
                )
            ),
            Group(
                heading=phrase("Depth"),
                in_row=True,
                fields=(
                    make.number(
                        "check_move.depth.seat_cm", phrase("Seat height"), depth, unit=phrase("cm")
                    ),
                    make.text("check_move.depth.how_low", phrase("How low"), about=depth),
                    make.text("check_move.depth.support", phrase("Hold on to"), about=depth),
                ),
            ),
            Group(
                fields=(
                    make.choose(
                        "check_move.depth.arms_used", phrase("Arms used"), _yes_no(), depth
                    ),
                    make.choose("check_move.depth.shoes", phrase("Shoes on"), _yes_no(), depth),
                    make.choose("check_move.depth.stick", phrase("With a stick"), _yes_no(), depth),
                )
            ),
            Group(
                heading=phrase("Chair stand in 30 seconds"),
                fields=(
                    make.coded(
                        "chair_stand",
                        phrase("Counting it at home"),
                        codes.SAFE,
                        phrase(
                            "Asked at home only when one is ticked. Common practice, no source."
                        ),
                    ),
                ),
            ),
        ),
        preview="move",
    )


def _hands(make: _Maker) -> Section:
    groups = [
        Group(
            fields=(
                make.number("hands_days_a_week", phrase("Days a week"), unit=phrase("days of 7")),
            ),
        )
    ]
    order = ticked(make.draft, "techniques")
    for sheet in sorted(make.catalogue.techniques, key=lambda each: _place(each.id, order)):
        key = f"techniques.{sheet.id}"
        on = make.get(key) is True
        about = source_sentence(make.catalogue.facts, sheet.facts)
        groups.append(
            Group(
                fields=(make.tick(key, phrase(sheet.title), about, line=phrase(sheet.clinic_name)),)
            )
        )
        groups.append(
            Group(
                in_row=True,
                shown=on,
                fields=(
                    make.number(
                        f"{key}.seconds",
                        phrase("Seconds"),
                        about,
                        unit=phrase("s"),
                        range_said=_usual(sheet.seconds.lowest, sheet.seconds.highest),
                    ),
                    make.number(
                        f"{key}.repeats",
                        phrase("Repeats"),
                        about,
                        unit=phrase("times"),
                        range_said=_usual(sheet.repeats.lowest, sheet.repeats.highest),
                    ),
                    make.day(
                        f"{key}.taught_on",
                        phrase("Taught, shown back"),
                        hint=phrase("today, or day month year"),
                        about=phrase("Only what was taught and shown back is offered at home."),
                    ),
                ),
            )
        )
    return Section(
        key="hands",
        heading=section_heading("hands"),
        lead=phrase(
            "At home in the order they were ticked. What was not shown back is not offered."
        ),
        groups=tuple(groups),
        preview="hands",
        taught="techniques",
    )


def _place(name: str, order: tuple[str, ...]) -> int:
    """Those of the plan first, in the order they are done at home."""
    return order.index(name) if name in order else len(order)


def _usual(lowest: int, highest: int) -> str:
    return phrase("usually {lowest} to {highest}", lowest=lowest, highest=highest)


def _limits(make: _Maker) -> Section:
    zones = make.about(
        phrase("0-2 safe, above 2 to 5 acceptable, above 5 high."),
        *("pain_zone_safe", "pain_zone_acceptable"),
    )
    return Section(
        key="limits",
        heading=section_heading("limits"),
        lead=phrase("What decides between one more round, tape, and the end."),
        groups=(
            Group(
                in_row=True,
                fields=(
                    make.number("rounds", phrase("Hands rounds"), unit=phrase("at most")),
                    make.number("check_moves", phrase("Check moves"), unit=phrase("at most")),
                    make.number(
                        "ease_target_percent",
                        phrase("Ease target"),
                        make.about(
                            phrase("Half gone in the session counts as enough."), "ease_target"
                        ),
                        unit=phrase("%"),
                    ),
                    make.number(
                        "low_score",
                        phrase("Low score"),
                        phrase("At or below it the score alone adds nothing. {zones}", zones=zones),
                        unit=phrase("of 10"),
                    ),
                ),
            ),
            Group(
                heading=phrase("Safety"),
                in_row=True,
                fields=(
                    make.number(
                        "stop_amount",
                        phrase("Stop amount"),
                        make.about(
                            phrase(
                                "A rise of so many points ends it. One point is noise, two are a "
                                "change: smallest detectable change 1.33."
                            ),
                            "pain_detectable_change",
                        ),
                        unit=phrase("points"),
                    ),
                    make.number(
                        "pain_ceiling",
                        phrase("Pain ceiling"),
                        phrase("More pain stops a step. {zones}", zones=zones),
                        unit=phrase("of 10"),
                    ),
                    make.number(
                        "easy_day_mark",
                        phrase("Easy-day mark"),
                        phrase(
                            "From this before score on, standing steps are left out. No default; "
                            "empty means never."
                        ),
                        unit=phrase("of 10"),
                    ),
                ),
            ),
        ),
        preview="hands",
    )


def _exercise(make: _Maker) -> Section:
    groups = [
        Group(
            fields=(
                make.number(
                    "exercise_days_a_week", phrase("Days a week"), unit=phrase("days of 7")
                ),
            )
        )
    ]
    order = ticked(make.draft, "exercises")
    for sheet in sorted(make.catalogue.exercises, key=lambda each: _place(each.id, order)):
        key = f"exercises.{sheet.id}"
        on = make.get(key) is True
        about = source_sentence(make.catalogue.facts, sheet.facts)
        line = phrase(sheet.clinic_name)
        if sheet.standing:
            line = phrase("{name}; standing", name=line)
        groups.append(Group(fields=(make.tick(key, phrase(sheet.title), about, line=line),)))
        doses = (
            ("repeats", phrase("Repeats"), phrase("times"), sheet.repeats),
            ("sets", phrase("Sets"), "", sheet.sets),
            ("hold_seconds", phrase("Hold"), phrase("s"), sheet.hold_seconds),
        )
        groups.append(
            Group(
                in_row=True,
                shown=on,
                fields=(
                    *(
                        make.number(
                            f"{key}.{name}",
                            word,
                            about,
                            unit=unit,
                            range_said=_usual(usual.lowest, usual.highest),
                        )
                        for name, word, unit, usual in doses
                    ),
                    make.day(
                        f"{key}.taught_on",
                        phrase("Taught, shown back"),
                        hint=phrase("today, or day month year"),
                        about=phrase("Only what was taught and shown back is offered at home."),
                    ),
                ),
            )
        )
    return Section(
        key="exercise",
        heading=section_heading("exercise"),
        lead=phrase("Guidelines put exercise first."),
        groups=tuple(groups),
        preview="exercise",
        taught="exercises",
    )


# ---------------------------------------------------------------- tape


def _tape(make: _Maker) -> Section:
    taping = make.get("tape.when") != "never"
    wear = make.about(phrase("Trials used 3 days."), "wear_usual", "wear_cap")
    return Section(
        key="tape",
        heading=section_heading("tape"),
        lead=" ".join(known_words(make.catalogue)[:2]),
        groups=(
            Group(
                fields=(
                    make.coded("tape.when", phrase("When to tape"), codes.WHEN_TAPE),
                    make.choose("tape.highest", phrase("Highest stage"), _stages(0), shown=taping),
                    make.choose("tape.start", phrase("Starting stage"), _stages(1), shown=taping),
                )
            ),
            Group(
                heading=phrase("Make and patch test"),
                shown=taping,
                fields=(
                    make.text("tape.make", phrase("Make"), line=phrase("as written on the roll")),
                    make.coded(
                        "tape.patch_test",
                        phrase("Patch test"),
                        codes.PATCH_TESTED,
                        source_sentence(
                            make.catalogue.facts, make.catalogue.tape_steps.patch_test.facts
                        ),
                    ),
                ),
            ),
            Group(
                heading=phrase("Worn for"),
                in_row=True,
                shown=taping,
                fields=(
                    make.number(
                        "tape.first_wear_hours", phrase("First time"), wear, unit=phrase("h")
                    ),
                    make.number(
                        "tape.second_wear_hours", phrase("Second time"), wear, unit=phrase("h")
                    ),
                    make.number("tape.wear_hours", phrase("Then"), wear, unit=phrase("h")),
                    make.number("tape.cap_hours", phrase("Hard cap"), wear, unit=phrase("h")),
                ),
            ),
            Group(
                in_row=True,
                shown=taping,
                fields=(
                    make.number("tape.rest_hours", phrase("Rest after"), unit=phrase("h")),
                    make.day(
                        "tape.stay_bare_from",
                        phrase("No tape from"),
                        about=make.about(phrase("Before an operation."), "replacement_bare"),
                    ),
                ),
            ),
        ),
        preview="tape",
    )


def _stages(least: int) -> tuple[tuple[int, str], ...]:
    return tuple((stage, capital(words)) for stage, words in codes.STAGES.items() if stage >= least)


def _lengths(make: _Maker) -> Section:
    plan = make.plan
    taping = make.get("tape.when") != "never"
    of_available = make.get("tape.stretch_of") == "available"
    from_path = make.get("tape.length_from") != "as_cut"
    groups = [
        Group(
            said=() if taping else (phrase("No tape in this plan: nothing to fill in here."),),
            fields=(
                make.coded(
                    "tape.length_from", phrase("The length is"), codes.LENGTH_FROM, shown=taping
                ),
            ),
        )
    ]
    asked = make.get("side")
    for side in plan.sides if asked in ("left", "right", "both") else ():
        groups += [_measures(make, side, taping), _cut(make, side, taping)]
    groups += [
        Group(
            heading=phrase("Stretch"),
            shown=taping and from_path,
            fields=(
                make.coded(
                    "tape.stretch_of",
                    phrase("Per cent of"),
                    codes.STRETCH_OF,
                    phrase(
                        "10 % of the slack length makes 100 mm into 110. 50 % of what a make "
                        "has, with a limit of 140 %, makes them 120. Arithmetic on other facts."
                    ),
                ),
            ),
        ),
        Group(
            in_row=True,
            shown=taping and from_path,
            fields=(
                make.number("tape.stretch_percent", phrase("Stretch"), unit=phrase("%")),
                make.number(
                    "tape.stretch_limit_percent",
                    phrase("Limit of this make"),
                    phrase("Length at full stretch over slack length. It differs by make."),
                    unit=phrase("%"),
                    shown=of_available,
                ),
                make.number("tape.anchor_mm", phrase("Each anchor"), unit=phrase("mm")),
                make.number(
                    "tape.paper_stretch_percent",
                    phrase("Stretched on its paper"),
                    make.about(phrase("10-15 % on the paper already."), "tape_paper_stretch"),
                    unit=phrase("%"),
                ),
            ),
        ),
        Group(
            heading=phrase("Strip and roll"),
            in_row=True,
            shown=taping,
            fields=(
                make.number(
                    "tape.width_mm",
                    phrase("Width"),
                    make.about("", "tape_width"),
                    unit=phrase("mm"),
                ),
                make.number(
                    "tape.roll_mm",
                    phrase("Roll"),
                    make.about(phrase("5 m."), "tape_roll"),
                    unit=phrase("mm"),
                ),
                make.number("tape.knee_bend_degrees", phrase("Knee bent"), unit=phrase("degrees")),
            ),
        ),
        Group(
            heading=phrase("Where the skin is drawn"),
            shown=taping,
            fields=(
                make.coded("tape.pull_at", phrase("At the kneecap's"), codes.PULL_AT),
                make.coded(
                    "tape.pull_towards",
                    phrase("Towards"),
                    codes.PULL_TOWARDS,
                    make.about(
                        phrase("Kneecap pain may need another than arthritis."), "tape_placing"
                    ),
                ),
                make.text("tape.pull", phrase("More about the pull, as the person reads it")),
            ),
        ),
    ]
    return Section(
        key="lengths",
        heading=section_heading("lengths"),
        lead=phrase("Measured along the skin, in the taping position."),
        groups=tuple(groups),
    )


def _measures(make: _Maker, side: Side, taping: bool) -> Group:
    place = f"knees.{side}"
    shape = make.about(
        phrase("Kneecap width 36-46 mm and height 33-42 mm are usual."),
        *("kneecap_width", "kneecap_height"),
    )
    measured = next((k for k in make.plan.knees if k.side == side), None)
    said: list[str] = []
    if taping and measured is not None:
        strip = side_strip(make.plan.tape, measured)
        if strip.slack_mm is not None and strip.paper_mm is not None:
            said.append(
                phrase(
                    "Side strip {slack} mm slack, {paper} mm on its paper.",
                    slack=f"{strip.slack_mm:.0f}",
                    paper=f"{strip.paper_mm:.0f}",
                )
            )
        piece = short_piece(make.plan.tape, measured)
        if (
            make.plan.tape.highest == 2
            and piece.slack_mm is not None
            and piece.paper_mm is not None
        ):
            said.append(
                phrase(
                    "Short piece {slack} mm slack, {paper} mm on its paper.",
                    slack=f"{piece.slack_mm:.0f}",
                    paper=f"{piece.paper_mm:.0f}",
                )
            )
    return Group(
        heading=knee(side),
        in_row=True,
        shown=taping,
        said=tuple(said),
        fields=(
            make.number(
                f"{place}.bump_to_upper_edge_mm",
                phrase("Bump to upper edge"),
                phrase(
                    "75-89 mm straight is typical, more along the skin: measure again outside "
                    "60-160. Arithmetic on kneecap height 33-43 and tendon 30-61 mm."
                ),
                unit=phrase("mm"),
                range_said=_usual(60, 160),
            ),
            make.number(
                f"{place}.kneecap_height_mm",
                phrase("Kneecap height"),
                shape,
                unit=phrase("mm"),
                range_said=_usual(33, 43),
            ),
            make.number(
                f"{place}.kneecap_width_mm",
                phrase("Kneecap width"),
                shape,
                unit=phrase("mm"),
                range_said=_usual(36, 46),
            ),
            make.coded(
                f"{place}.build",
                phrase("Leg, for the pictures"),
                codes.BUILDS,
                phrase("Changes the drawn outline only."),
            ),
        ),
    )


def _cut(make: _Maker, side: Side, taping: bool) -> Group:
    place = f"knees.{side}"
    return Group(
        in_row=True,
        shown=taping and make.get("tape.length_from") == "as_cut",
        fields=(
            make.number(
                f"{place}.side_strip_mm",
                phrase("Side strip as cut, {knee}", knee=this_knee(side)),
                phrase("Slack, whole strip from end to end."),
                unit=phrase("mm"),
            ),
            make.number(
                f"{place}.short_piece_mm",
                phrase("Short piece as cut, {knee}", knee=this_knee(side)),
                phrase("Slack, whole piece from end to end."),
                unit=phrase("mm"),
                shown=make.get("tape.highest") == 2,
            ),
        ),
    )


def _trial(make: _Maker) -> Section:
    draft, trial = make.draft, make.plan.trial
    on, fixed = has_trial(draft), fixed_trial(draft)
    running = trial is not None and trial == fixed
    own = None
    if draft.at_hand is not None and trial is not None:
        own = draft.at_hand.limits[trial.side, make.plan.measure]
    offered = phrase(
        "8 pairs of 3 scored days, or 10 pairs of 2, are usual. Simulated for this project."
    )
    said = [*_elsewhere(draft, make.catalogue)]
    if running and trial is not None:
        said.append(running_words(trial, draft.today))
    return Section(
        key="trial",
        heading=section_heading("trial"),
        lead=phrase(
            "Some days with tape and some without, in an order drawn by chance: does tape help "
            "this person?"
        ),
        groups=(
            Group(
                said=tuple(said),
                fields=(
                    make.tick(
                        "trial.on",
                        phrase("Try tape by turns with no tape"),
                        phrase("Offered after two wears that ended with clear skin."),
                        line=phrase("Without the tick the trial is broken off when you sign.")
                        if fixed is not None
                        else phrase("The order is fixed when you sign. Nobody sees it beforehand."),
                    ),
                    make.choose(
                        "trial.side",
                        phrase("Which knee"),
                        _sides(),
                        phrase("One knee is tried at a time."),
                        shown=on
                        and (
                            make.get("side") == "both"
                            or make.get("trial.side") is None
                            or make.get("trial.side") != make.get("side")
                        ),
                    ),
                ),
            ),
            Group(
                in_row=True,
                shown=on and not running,
                fields=(
                    make.day(
                        "trial.first_day",
                        phrase("First day"),
                        hint=phrase("after today, such as 3d"),
                        about=phrase("The schedule is fixed before it."),
                    ),
                    make.number("trial.pairs", phrase("Pairs"), offered),
                    make.number(
                        "trial.scored_days",
                        phrase("Scored days"),
                        offered,
                        unit=phrase("a period"),
                    ),
                ),
            ),
            Group(
                heading=phrase("How long") if running else phrase("How long, and what it can tell"),
                shown=on and trial is not None,
                said=() if running else (how_it_is_read(own),),
                facts=()
                if trial is None
                else (*how_long(trial), *(() if running else what_it_can_tell(trial, own))),
            ),
            Group(heading=phrase("While it runs"), said=how_it_goes()),
        ),
        preview="trial" if on else "tape",
    )


def _elsewhere(draft: PlanDraft, catalogue: Catalogue) -> tuple[str, ...]:
    """What stands in the way of the trial on other pages."""
    found = [
        fault
        for fault in draft_faults(draft, catalogue)
        if fault.code.startswith("trial_") and section_of(fault.key) != "trial"
    ]
    return tuple(
        phrase("Under {page}: {fault}", page=section_heading(section_of(key)), fault=remark.text)
        for key, said in remarks(found, catalogue).items()
        for remark in said
    )


# ---------------------------------------------------------------- activities, calls


def _activities(make: _Maker) -> Section:
    scale = make.about(
        phrase("0 unable, 10 as before, mean of the same activities."),
        "activities_detectable_change",
    )
    pace = make.about(phrase("Begin at 80 %, step 10-20 % of the baseline a week."), "pacing_start")
    filled = sum(make.get(f"activities.{n}") is not None for n in range(MOST_ROWS))
    rows = [
        n
        for n in range(MOST_ROWS)
        if any(make.get(f"amounts.{n}.{name}") is not None for name in ("label", "unit", "goal"))
    ]
    open_rows = (max(rows) + 2) if rows else 1
    groups = [
        Group(
            heading=phrase("Chosen activities"),
            said=(
                phrase("Up to five that matter to the person, scored 0 unable to 10 as before."),
            ),
            fields=tuple(
                make.text(
                    f"activities.{n}",
                    phrase("Activity {number}", number=n + 1),
                    about=scale,
                    shown=n <= max(filled, 2),
                )
                for n in range(MOST_ROWS)
            ),
        ),
    ]
    for n in range(MOST_ROWS):
        place = f"amounts.{n}"
        groups.append(
            Group(
                heading=phrase("Paced amount {number}", number=n + 1),
                in_row=True,
                shown=n < open_rows,
                said=_pacing(make.plan, make.get(f"{place}.label")),
                fields=(
                    make.text(f"{place}.label", phrase("What"), about=pace),
                    make.text(f"{place}.unit", phrase("Unit"), about=pace),
                ),
            )
        )
        groups.append(
            Group(
                in_row=True,
                shown=n < open_rows,
                fields=(
                    make.number(f"{place}.baseline", phrase("Now"), pace),
                    make.number(f"{place}.goal", phrase("Goal"), pace),
                    make.number(
                        f"{place}.step_percent", phrase("Weekly step"), pace, unit=phrase("%")
                    ),
                ),
            )
        )
    groups.append(
        Group(
            heading=phrase("What the findings are about"),
            fields=(
                make.choose(
                    "measure",
                    phrase("Measure, asked every day"),
                    [(code, capital(words.home)) for code, words in codes.MEASURES.items()],
                    make.about(
                        phrase("24 h recalled against ratings at the time: r = 0.71."),
                        "pain_recall",
                    ),
                ),
                make.choose(
                    "primary_question",
                    phrase("Primary question of the next report"),
                    [(code, words.question) for code, words in codes.PRIMARY_QUESTIONS.items()],
                    phrase("Named before, so that the rest is read as exploratory."),
                ),
            ),
        )
    )
    return Section(
        key="activities",
        heading=section_heading("activities"),
        lead=phrase("What the person wants back, and how it is read."),
        groups=tuple(groups),
    )


def _pacing(plan: Plan, label: Answer) -> tuple[str, ...]:
    """`160, 180, 200 ... 300 m, the goal in week 8`, while the row makes sense."""
    amount = next((a for a in plan.amounts if a.label == label), None)
    if amount is None or amount.goal < amount.baseline or amount.baseline <= 0:
        return ()
    weeks = weeks_to_goal(amount)
    if weeks is None:
        return ()
    first = [amount_in_week(amount, week) for week in range(1, min(weeks, 9) + 1)]
    numbers = ", ".join(f"{number:g}" for number in first)
    if weeks > 9:
        numbers = phrase("{numbers} ... {goal}", numbers=numbers, goal=f"{amount.goal:g}")
    return (
        phrase(
            "Week by week, when each is kept: {numbers} {unit}. The goal comes in week {week}.",
            numbers=numbers,
            unit=amount.unit,
            week=weeks,
        ),
    )


def _calls(make: _Maker) -> Section:
    return Section(
        key="calls",
        heading=section_heading("calls"),
        lead=phrase("Typed here, never guessed. They stand on every card of the stop list."),
        groups=tuple(
            Group(
                heading=capital(words.clinic),
                in_row=True,
                fields=(
                    make.text(f"contacts.{role}.number", phrase("Number")),
                    make.text(f"contacts.{role}.when", phrase("When it is answered")),
                    make.text(f"contacts.{role}.label", phrase("Called, on the person's pages")),
                ),
            )
            for role, words in codes.ROLES.items()
        ),
    )


_SECTIONS: dict[SectionKey, Callable[[_Maker], Section]] = {
    "person": _person,
    "cautions": _cautions,
    "session": _session,
    "move": _move,
    "hands": _hands,
    "limits": _limits,
    "exercise": _exercise,
    "tape": _tape,
    "lengths": _lengths,
    "trial": _trial,
    "activities": _activities,
    "calls": _calls,
}


# ---------------------------------------------------------------- signing, differences


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One thing that stands in the way, or is advised: where, what it is called, the sentence."""

    section: SectionKey
    key: str
    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Signing:
    """The last page: what stands in the way, in the order of the pages, and what changed.

    `facts` sum the plan up for whoever signs; the hash is there only when it could be signed.
    """

    facts: tuple[tuple[str, str], ...]
    faults: tuple[Standing, ...]
    advice: tuple[Standing, ...]
    changes: tuple[str, ...]
    differences: tuple[Difference, ...]
    content_sha256: str | None


def signing(draft: PlanDraft, catalogue: Catalogue, content_sha256: str) -> Signing:
    """What is said before signing."""
    found = draft_faults(draft, catalogue)
    labels = _labels(draft, catalogue)
    lines = []
    for key, said in remarks(found, catalogue).items():
        place = section_of(key)
        label = labels.get(key, section_heading(place))
        lines += [
            (one.advice, Standing(section=place, key=key, label=label, text=one.text))
            for one in said
        ]
    lines.sort(key=lambda line: SECTIONS.index(line[1].section))
    new = plan_of(draft)
    return Signing(
        facts=_facts(draft, new),
        faults=tuple(line for advice, line in lines if not advice),
        advice=tuple(line for advice, line in lines if advice),
        changes=() if draft.last is None else changes_in_words(draft.last, new, catalogue),
        differences=differences(draft, catalogue),
        content_sha256=None if any(not f.advice for f in found) else content_sha256,
    )


def _facts(draft: PlanDraft, plan: Plan) -> tuple[tuple[str, str], ...]:
    person = draft.answers.get("person")
    side = codes.SIDES.find(draft.answers.get("side"))
    answered = [answer for answer in plan.cautions if answer.answer]
    return (
        (
            phrase("For"),
            phrase(
                "{person}, {knee}",
                person=answer_words(person) if person else phrase("no code yet"),
                knee=phrase("no knee yet") if side is None else side.knee,
            ),
        ),
        (
            phrase("Version"),
            phrase("{version}, review on {day}", version=draft.version, day=dated(plan.review_on)),
        ),
        (phrase("Check move"), move_words(plan.check_move)),
        (
            phrase("Hands"),
            phrase(
                "{n} technique, {days} days a week, rounds {rounds}",
                "{n} techniques, {days} days a week, rounds {rounds}",
                n=len(plan.techniques),
                days=plan.hands_days_a_week,
                rounds=plan.rounds,
            ),
        ),
        (
            phrase("Exercise"),
            phrase(
                "{n} exercise, {days} days a week",
                "{n} exercises, {days} days a week",
                n=len(plan.exercises),
                days=plan.exercise_days_a_week,
            ),
        ),
        (phrase("Tape"), highest_stage_words(plan.tape)),
        *(() if plan.trial is None else ((phrase("Tape trial"), trial_words(plan.trial)),)),
        (
            phrase("Cautions"),
            phrase(
                "{yes} answered yes, {no} no",
                yes=len(answered),
                no=len(plan.cautions) - len(answered),
            ),
        ),
    )


def differences(draft: PlanDraft, catalogue: Catalogue) -> tuple[Difference, ...]:
    """Every field that differs from the last version, as it was and as it is."""
    if draft.last is None:
        return ()
    before = answers_of(draft.last)
    labels = _labels(draft, catalogue)
    words = _option_words(draft, catalogue)
    found = []
    for key in {**before, **draft.answers}:
        was, now = before.get(key), draft.answers.get(key)
        parts = key.split(".")
        if was == now or all(answer is None or answer is False for answer in (was, now)):
            continue
        if parts[0] == "session" or (parts[0] == "cautions" and parts[-1] == "on"):
            continue  # the day is part of the answer
        if parts[0] in ("techniques", "exercises") and len(parts) == 3:
            ticks = (
                before.get(f"{parts[0]}.{parts[1]}"),
                draft.answers.get(f"{parts[0]}.{parts[1]}"),
            )
            if ticks != (True, True):
                continue  # new or gone: its dose says nothing more
        if (
            parts[0] == "trial"
            and key != "trial.on"
            and (before.get("trial.on"), draft.answers.get("trial.on")) != (True, True)
        ):
            continue  # new, gone or over: the change in words tells its sizes
        said = words.get(key, {})
        found.append(
            Difference(
                labels.get(key, key.replace("_", " ").replace(".", ", ")),
                said.get(was, answer_words(was)),
                said.get(now, answer_words(now)),
            )
        )
    return tuple(found)


def _all_fields(draft: PlanDraft, catalogue: Catalogue) -> list[tuple[Group, Field]]:
    make = _Maker(draft, catalogue)
    return [
        (group, field)
        for made in _SECTIONS.values()
        for group in made(make).groups
        for field in group.fields
    ]


def _labels(draft: PlanDraft, catalogue: Catalogue) -> dict[str, str]:
    """What each field is called where it stands alone: with its technique or knee before it."""
    labels = {}
    for group, field in _all_fields(draft, catalogue):
        parts = field.key.split(".")
        label = field.label
        if parts[0] == "techniques" and len(parts) == 3:
            label = _of(phrase(catalogue.technique(parts[1]).title), label)
        elif parts[0] == "exercises" and len(parts) == 3:
            label = _of(phrase(catalogue.exercise(parts[1]).title), label)
        elif parts[0] == "cautions" and len(parts) == 3:
            label = _of(phrase(catalogue.caution(parts[1]).clinic_words), label)
        elif field.key == "trial.on":
            label = section_heading("trial")
        elif parts[0] == "trial":
            label = _of(section_heading("trial"), label)
        elif parts[0] in ("contacts", "amounts", "knees", "tape") and group.heading:
            label = _of(group.heading, label)
        labels[field.key] = label
    return labels


def _of(whole: str, part: str) -> str:
    return phrase("{whole}: {part}", whole=whole, part=inside(part))


def _option_words(draft: PlanDraft, catalogue: Catalogue) -> dict[str, dict[Answer, str]]:
    return {
        field.key: {option.value: option.word for option in field.options}
        for _, field in _all_fields(draft, catalogue)
        if field.kind == "choose"
    }
