"""The form a plan is written with, as data: ``resources/forms/plan.json`` maps onto these records.

What a field may hold is not here: it follows from the type of the field in the records. Sentences
may hold names in braces that the row at hand fills in, such as ``{knee}``.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from companion.care.lookup import row_by
from companion.care.ranges import Key, Range, Token, Words
from companion.care.records import Record

FieldKey = Annotated[str, Token(r"[a-z0-9_]+(\.(\*|[a-z0-9_]+))*")]
"""The path of a field in its record, with a star for the row of a list: ``knees.*.build``."""
Sentence = Annotated[str, Words(400)]
Line = Annotated[str, Words(120)]
Answered = Annotated[str, Words(40)]

FormControl = Literal["tick", "yes_no", "none_of", "several"]
"""A control the type of a field does not tell: a tick, a question answered with Y or N, a list
that is read and answered with none of it, ticks of several."""

FormRows = Literal[
    "caution_groups",
    "cautions",
    "known_signs",
    "open_signs",
    "techniques",
    "exercises",
    "knees",
    "activities",
    "amounts",
    "contacts",
]
"""The lists of a plan, whose rows are asked about one after the other; and the groups of cautions.
Inside a part for each group the cautions are those of the group."""

FormState = Literal[
    "signs_open",
    "tape_or_trial",
    "trial_fixed",
    "trial_runs",
    "trial_planned",
    "trial_knee_asked",
    "group_open",
    "answered_before_together",
    "closing",
    "answered_before",
    "standing",
    "open",
    "timed",
    "first_of_sign",
    "first_version",
    "of_a_knee",
    "closes_as_before",
]
"""What the program finds out for a condition. signs_open: a sign is open in the diary at hand.
tape_or_trial: the draft tapes or holds a trial.
trial_fixed: the last version's trial has begun and is not over; trial_runs: the draft holds that
very one; trial_planned: a trial is whole; trial_knee_asked: its knee does not follow from the
plan's. group_open: the cautions of a group are answered one by one; answered_before_together: all
of them on an earlier day. closing: the caution closes what a tick can open; answered_before: on an
earlier day.
standing: the exercise is done standing. open: the row is the next one to fill in, or before it.
timed: a number with hours of its own. first_of_sign: no open sign above is the same, of another
knee or day. first_version: no plan was signed before this one. of_a_knee: the sign is of a knee;
closes_as_before: known, and as before, it still closes something."""

FormTelling = Literal[
    "dated_cautions",
    "bad_day_mark",
    "strip_lengths",
    "weeks",
    "trial_in_the_way",
    "trial_running",
    "trial_outlook",
    "trial_course",
]
"""What the program works out and says in a group, from the draft as it stands."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Condition(Record):
    """What must be the case: an answer, or a state, is one of these, or none of those.

    An answer is a code or a number in digits, ``yes`` or ``no``, or ``unanswered``; a state is
    ``yes`` or ``no``.
    """

    of: FieldKey
    one_of: tuple[Answered, ...] = ()
    none_of: tuple[Answered, ...] = ()

    def holds(self, value: object) -> bool:
        """Whether it is the case where this is the answer, None for none, or the state."""
        said = "unanswered" if value is None else str(value)
        if isinstance(value, bool):
            said = "yes" if value else "no"
        return (not self.one_of or said in self.one_of) and said not in self.none_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Said(Record):
    """A sentence that is said where every condition holds."""

    words: Sentence
    shown: tuple[Condition, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class UsualRange(Record):
    """What is usual of a number that may be more or less."""

    lowest: Annotated[int, Range(0, 100000)]
    highest: Annotated[int, Range(0, 100000)]


@dataclass(frozen=True, kw_only=True, slots=True)
class FormField(Record):
    """One field. ``hint`` stands above it in place of its range; ``line`` explains what is chosen.

    A number is followed by its ``unit``, else by what is ``after`` it, such as ``of 10``. ``about``
    and ``facts`` say what its default rests on. ``options`` names the table of words of its codes
    and after a dot the column, the clinic's if none. ``again``: asked here too, at home on another
    page. It is called ``alone`` away from its page, ``home`` in the person's record, ``report``
    among the limits of the report; ``change`` is said of a new version that changed it.
    ``half_typed`` is the fault an answer has until it is typed to its end.
    """

    key: FieldKey
    label: Line
    control: FormControl | None = None
    unit: Annotated[str, Words(20)] | None = None
    after: Annotated[str, Words(20)] | None = None
    hint: Line | None = None
    usual: UsualRange | None = None
    options: Annotated[str, Token(r"[a-z_]+(\.[a-z_]+)?")] | None = None
    line: tuple[Said, ...] = ()
    about: Sentence | None = None
    facts: tuple[Key, ...] = ()
    shown: tuple[Condition, ...] = ()
    alone: Line | None = None
    home: Line | None = None
    report: Line | None = None
    change: Said | None = None
    again: bool = False
    half_typed: Key | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class FormGroup(Record):
    """Fields that belong together; ``in_row`` side by side while they fit.

    ``instead`` takes the place of the heading where its conditions hold. ``each``: the fields come
    once for each row of a list. ``of`` stands before the label of a field where that stands alone.
    ``tells`` is worked out, ``said`` is not.
    """

    heading: Line | None = None
    instead: Said | None = None
    in_row: bool = False
    each: FormRows | None = None
    said: tuple[Said, ...] = ()
    tells: tuple[FormTelling, ...] = ()
    shown: tuple[Condition, ...] = ()
    of: Line | None = None
    fields: tuple[FormField, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class FormPart(Record):
    """Groups one after the other; with ``each``, all of them once for each row of a list."""

    each: FormRows | None = None
    shown: tuple[Condition, ...] = ()
    groups: tuple[FormGroup, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class FormSection(Record):
    """One page. ``preview`` is the part of the routine that shows what it is about; ``taught`` the
    list that can be dated as shown today."""

    id: Key
    heading: Line
    lead: Sentence
    shown: tuple[Condition, ...] = ()
    preview: Literal["move", "hands", "exercise", "tape", "trial"] | None = None
    taught: Literal["techniques", "exercises"] | None = None
    parts: tuple[FormPart, ...] = ()

    @property
    def fields(self) -> Iterator[tuple[FormGroup, FormField]]:
        """Every field with its group, in order."""
        return (
            (group, field) for part in self.parts for group in part.groups for field in group.fields
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class UnaskedField(Record):
    """What nobody is asked, and what holds fields: what it is called in the person's record.

    ``looked`` is the part of the content in which its key is looked up; ``number`` an id or a
    checksum.
    """

    key: FieldKey
    home: Line
    options: Key | None = None
    looked: Literal["technique", "exercise", "sign", "caution"] | None = None
    number: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class FaultSentence(Record):
    """What is said beside a field that something speaks against."""

    code: Key
    words: Sentence


@dataclass(frozen=True, kw_only=True, slots=True)
class PlanForm(Record):
    """The whole form, its last section the sign-off, and the sentences of every fault. ``facts``
    are what a number or a choice rests on whose field names nothing else."""

    version: Annotated[int, Range(1, 9999)]
    facts: tuple[Key, ...]
    sections: tuple[FormSection, ...]
    unasked: tuple[UnaskedField, ...]
    faults: tuple[FaultSentence, ...]

    def section(self, section_id: str) -> FormSection:
        """The section with this id. Raises KeyError."""
        return row_by(self.sections, "id", section_id)

    def section_of(self, key: str) -> FormSection:
        """The section of a field by its key, or of what is said of a whole list; the sign-off for
        what stands on no other."""
        for section in self.sections:
            if any(is_of(field.key, key) and not field.again for _, field in section.fields):
                return section
        group = key.partition(".")[0]
        for section in self.sections:
            if any(field.key.partition(".")[0] == group for _, field in section.fields):
                return section
        return self.sections[-1]

    @property
    def fields(self) -> Iterator[FormField]:
        """Every field, each once."""
        asked = (field for section in self.sections for _, field in section.fields)
        return (field for field in asked if not field.again)

    def fault_words(self, code: str) -> str:
        """The sentence of a fault. Raises KeyError."""
        return row_by(self.faults, "code", code).words


def is_of(pattern: str, key: str) -> bool:
    """Whether a key is that of a field: a star stands for any row."""
    parts, named = pattern.split("."), key.split(".")
    return len(parts) == len(named) and all(
        part in ("*", name) for part, name in zip(parts, named, strict=True)
    )
