"""What the clinic reads: every figure has its source, tables hold what was written, and nothing
that was corrected disappears."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from companion.app.demo import people, read_diary
from companion.care.catalogue import Catalogue
from companion.care.coded import coded
from companion.care.history import current
from companion.care.records import DayPage, Diary, HandsRound, Measurement, Session, StepDone
from companion.evidence.sources import SOURCES
from companion.exchange.taking_in import Refusal
from companion.journal.people import Case, KeptFile
from companion.presentation.clinic.answers import (
    KneeFindings,
    ReviewQuestion,
    clinic_answers,
    knee_of,
)
from companion.presentation.clinic.behind import behind_answer
from companion.presentation.clinic.people import (
    MOST_SHOWN,
    import_preview,
    look_words,
    people_view,
    reason_words,
    taken_words,
    undo_words,
    unusable_lines,
)
from companion.presentation.clinic.periods import pairs, periods_view
from companion.presentation.clinic.review import (
    figure_source,
    first_chart,
    first_chart_with,
    first_page_answers,
    is_activity,
    is_amount,
    is_known,
    own_words,
    record_days,
    review_above,
    review_pages,
    source_table,
)
from companion.presentation.clinic.tables import (
    activities_table,
    amounts_table,
    calendar_table,
    entries_table,
    falls_table,
    late_count,
    medicine_table,
    mornings_table,
    notes_table,
    outings_table,
    questions_table,
    sessions_table,
    stairs_table,
    stopped_steps_table,
    tape_table,
    warnings_table,
)
from companion.presentation.home.record_view import RecordTable
from companion.presentation.language.said import said_words
from companion.presentation.language.troubles import REFUSED
from companion.presentation.view.chart import DaySpan
from companion.services.clinic_import import FileLook, Reason, Taken, Undone
from companion.services.clinic_periods import Days
from companion.services.practice import People
from companion.system.resources import demo_profiles, resource
from companion.wire.catalogue_reading import read_catalogue
from companion.wire.resource_reading import shipped_policy
from tests.builders import DAY, at, event, new_id, outing, page, tape_on
from tests.builders import plan as made_plan
from tests.care.content import FACTS, POLICY
from tests.exchange.made import FIRST, full_diary
from tests.found import findings

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return read_catalogue(resource())


def demo(name: str) -> Diary:
    return read_diary(demo_profiles() / name / "diary.homeknee")


def knees_of(diary: Diary) -> tuple[KneeFindings, ...]:
    entries = current(diary.entries)
    return tuple(knee_of(findings(diary, side), entries) for side in diary.plan.sides)


def test_an_activity_says_the_same_on_the_first_page_and_in_its_table(catalogue: Catalogue) -> None:
    diary = demo("edda")
    knees = knees_of(diary)
    days = record_days(current(diary.entries), diary.plan, diary.plan.main_side)
    better = clinic_answers(knees, diary.plans, days, catalogue)[0]
    rows = {row.label: row.cells[0].words for row in better.rows}
    for label, _, _, said in activities_table(knees[0].found).rows:
        assert label is not None
        assert rows[label[:1].upper() + label[1:]] == said
    assert rows["Stairs to the harbour office"].startswith("More, by 2.8 points (1.0 to 4.5 more)")


@pytest.mark.parametrize("name", people())
def test_every_figure_of_the_first_page_opens_to_its_source(
    name: str, catalogue: Catalogue
) -> None:
    diary = demo(name)
    entries, knees = current(diary.entries), knees_of(diary)
    days = record_days(entries, diary.plan, diary.plan.main_side)
    answers = clinic_answers(knees, diary.plans, days, catalogue)
    rows = [row for answer, _ in first_page_answers(answers, knees) for row in answer.rows]
    assert sum(len(answer.rows) for answer in answers) == len(rows)
    for row in (*rows, *own_words(entries, diary.plan)):
        own = is_activity(row, knees) or is_amount(row, knees)
        assert is_known(row.label) or own, row.label
        source = figure_source(row, knees, diary.plans, FACTS)
        for _, facts in source.parts:
            assert {"Method", "Source"} <= {key for key, _ in facts}
            assert all(words.strip() for _, words in facts)


def test_a_day_by_the_plan_before_is_read_with_what_held(catalogue: Catalogue) -> None:
    edda = demo("edda")
    went = event(date(2026, 11, 20), "plan_before", plan_version=edda.plan.version)
    diary = replace(edda, entries=(*edda.entries, went))
    days = record_days(current(diary.entries), diary.plan, diary.plan.main_side)
    answers = clinic_answers(knees_of(diary), diary.plans, days, catalogue)
    (care,) = (one for one in answers if one.question == "Medicine and other care")
    said = [cell.words for row in care.rows for cell in row.cells]
    assert any("20 Nov by the plan before for a day, of both the stricter" in one for one in said)


def test_an_opened_figure_says_method_n_days_and_source(catalogue: Catalogue) -> None:
    diary = demo("osric")
    knees = knees_of(diary)
    days = record_days(current(diary.entries), diary.plan, "left")
    [better, *_] = clinic_answers(knees, diary.plans, days, catalogue)
    source = figure_source(better.rows[0], knees, diary.plans, FACTS)
    [(_, facts)] = source.parts
    told = dict(facts)
    assert told["Method"] == said_words(findings(diary).provenance["pain.model"].method)
    assert told["n"] == "61"
    assert told["Days"] == "15 Sep to 22 Nov"
    assert "chosen by simulation" in told["Source"]


def test_a_figure_of_many_parts_is_one_table() -> None:
    diary = demo("osric")
    knees = knees_of(diary)
    behind = behind_answer(knees)
    change = next(row for row in behind.rows if row.label == "Change, first to last 14 days")
    headers, rows = source_table(figure_source(change, knees, diary.plans, FACTS))
    assert headers == ("Figure", "Method", "n", "Days", "Source")
    band = next(row for row in rows if row[0] == "Band")
    assert band[3] == "15 Sep to 28 Sep, and 9 Nov to 22 Nov"
    assert band[4] == (
        "Salaffi 2004, Eur J Pain 8:283 (read in the source); Alghadir 2018, J Pain Res 11:851 "
        "(read in the source); our choice, no source"
    )


def test_a_figure_of_both_knees_names_them(catalogue: Catalogue) -> None:
    diary = demo("wilma")
    knees = knees_of(diary)
    days = record_days(current(diary.entries), diary.plan, "right")
    [better, *_] = clinic_answers(knees, diary.plans, days, catalogue)
    source = figure_source(better.rows[0], knees, diary.plans, FACTS)
    assert [words.split(":")[0] for words in source.says] == ["Right knee", "Left knee"]
    assert [name.split(":")[0] for name, _ in source.parts] == ["Right knee", "Left knee"]


def test_the_first_chart_holds_sixteen_weeks_at_most_and_then_the_flares() -> None:
    diary = demo("tobin")
    entries = current(diary.entries)
    chart = first_chart(entries, diary.plans, "right")
    assert chart.last_day == date(2026, 11, 22)
    assert "Flare" not in [lane.name for lane in chart.lanes]
    flares = findings(diary).pain.flares
    lanes = first_chart_with(entries, diary.plans, findings(diary)).lanes
    assert next(lane.spans for lane in lanes if lane.name == "Flare") == tuple(
        DaySpan(flare.first_day, flare.last_day) for flare in flares
    )
    page = next(entry for entry in entries if isinstance(entry, DayPage))
    long_ago = replace(page, for_day=date(2025, 1, 1))
    chart = first_chart((long_ago, *entries), diary.plans, "right")
    assert (chart.last_day - chart.first_day).days == 111


def test_pages_have_one_key_each() -> None:
    plans = demo("jory").plans
    keys = [page.key for page in review_pages(plans)]
    assert len(set(keys) | {"N", "R"}) == len(keys) + 2
    assert {page.name for page in review_pages(plans)} - {page.name for page in review_pages()} == {
        "trial"
    }
    assert all(len(key) == 1 for key in keys)
    above = review_above(full_diary().plan)
    assert above == "K-07, both knees. Plan 2 of 9 March 2026, review 27 April 2026."


def chair_stand(day: int, count: int, *, arms_used: bool = False) -> Measurement:
    return Measurement(
        id=new_id(),
        for_day=DAY + timedelta(days=day),
        written_at=at(day),
        written_by="person",
        plan_version=1,
        count=count,
        arms_used=arms_used,
    )


def better(*stands: Measurement, **of_plan: Any) -> ReviewQuestion:
    """What is said of whether it is better, in a made diary with these chair stands."""
    made = Diary(plans=(made_plan(**of_plan),), entries=(page(0, pain_average=4), *stands))
    days = record_days(made.entries, made.plan, "right")
    return clinic_answers(knees_of(made), made.plans, days, read_catalogue(resource()))[0]


def stand_notes(count: int, **of_plan: Any) -> tuple[str, ...]:
    """The notes on one chair stand of a made diary."""
    notes = better(chair_stand(0, count), **of_plan).notes
    return tuple(note for note in notes if note.startswith("Chair stand"))


def test_a_change_in_the_chair_stand_is_told_beside_the_one_it_is_counted_from() -> None:
    stands = (chair_stand(0, 7, arms_used=True), chair_stand(1, 8), chair_stand(2, 12))
    (row,) = (row for row in better(*stands).rows if row.label == "Chair stand")
    assert row.cells[0].words.endswith(
        "3 Mar: 8; 4 Mar: 12; change +4, of which practice gives about 1"
    )


@pytest.mark.parametrize(
    ("count", "of_plan", "said"),
    [
        # CDC, 30-Second Chair Stand, 2017 (F): 80 to 84, men 10, women 9; strictly fewer.
        (
            8,
            {"sex": "female"},
            "Chair stand 8, below average: under 9 for women of 80 to 84 (CDC 2017)",
        ),
        (9, {"sex": "female"}, "Chair stand 9, not below average: under 9 for women"),
        (9, {"sex": "male"}, "below average: under 10 for men of 80 to 84"),
        (8, {}, "below average: under 10 (men), 9 (women) at 80 to 84"),
        (9, {}, "cannot tell if below average: sex not in the plan"),
        (9, {"birth_year": None}, "cannot tell if below average: birth year not in the plan"),
        (9, {"birth_year": 1990}, "below average: no published value for this age"),
        (
            9,
            {"birth_year": 1946, "sex": "female"},
            "average: the day of birth decides between two rows",
        ),
    ],
)
def test_a_chair_stand_beside_the_table(count: int, of_plan: dict[str, Any], said: str) -> None:
    (note,) = stand_notes(count, **({"birth_year": 1943} | of_plan))
    assert said in note
    assert ("about falls, no grade of a knee" in note) == ("cannot tell" not in note)
    # Gill 2022 (F): about 2.5 stands.
    assert note.endswith("in one session, of which practice gives about 1 (Gill 2022).")


def test_a_flare_is_told_to_go_by_the_persons_own_median() -> None:
    """The published definition asks the person what is usual; here nobody does."""
    told = said_words(SOURCES["pain.flares"].method)
    assert "by the median of the 28 days before" in told
    assert "where the paper asks the person" in told


# ---------------------------------------------------------------- tables


def cell(table: RecordTable, row: int, header: str) -> str | None:
    return table.rows[row][table.headers.index(header)]


def test_all_entries_are_shown_corrected_ones_too(catalogue: Catalogue) -> None:
    diary = full_diary()
    shown = entries_table(diary.entries, FIRST, FIRST + timedelta(days=30), catalogue)
    assert len(shown.rows) == len(diary.entries)
    both = entries_table(diary.entries, FIRST, FIRST + timedelta(days=30), catalogue, "corrected")
    states = sorted(str(cell(both, row, "State")) for row in range(len(both.rows)))
    assert states == [
        "replaced 3 Mar 09:00",
        "replaced 6 Mar 17:00",
        "replaces the one of 2 Mar 20:05",
        "replaces the one of 5 Mar 08:00",
    ]
    # Paper is not late, whenever it was copied.
    assert (
        entries_table(diary.entries, FIRST, FIRST + timedelta(days=30), catalogue, "late").rows
        == ()
    )
    assert late_count(diary.entries) == 0


def test_late_entries_are_named_and_counted(catalogue: Catalogue) -> None:
    diary = full_diary()
    page = replace(diary.entries[0], written_at=diary.entries[12].written_at)
    shown = entries_table([page], FIRST, FIRST, catalogue, "late")
    assert cell(shown, 0, "State") == "written late"
    assert late_count([page]) == 1


def test_a_private_note_is_on_no_page(catalogue: Catalogue) -> None:
    diary = full_diary()
    first = diary.entries[0]
    assert isinstance(first, DayPage)
    page = replace(first, note_private=True)
    shown = entries_table([page], FIRST, FIRST, catalogue)
    assert "Wind" not in str(cell(shown, 0, "What it holds"))
    assert notes_table([page], "right").rows == ()
    assert notes_table(diary.entries[:1], "right").rows[0][1] is not None


def test_what_each_table_says_of_the_whole_diary(catalogue: Catalogue) -> None:
    diary = full_diary()
    entries = current(diary.entries)
    last = FIRST + timedelta(days=8)
    session = sessions_table(entries, diary.plans, "right", FIRST, last)
    assert [cell(session, 0, h) for h in ("Before", "After hands", "After tape", "Exercises")] == [
        "7",
        "5",
        "3, side strips",
        "1 of 1",
    ]
    tape = tape_table(entries, diary.plans, "right")
    assert cell(tape, 0, "Hours") == "24"  # 18:30 to 18:00 on the next day is 23.5, to the hour
    assert cell(tape, 0, "Skin after") == "pink or darker; 30 min later clear"
    assert cell(tape, 0, "Note") == "outing, felt itch and pinching"
    assert cell(outings_table(entries, "right"), 0, "How much") == "25 min"
    warning = warnings_table(entries, catalogue)
    assert cell(warning, 0, "Cleared") == (
        "checked by a professional, Pellan Harbour clinic, 6 Mar"
    )
    assert falls_table(entries).rows == (("5 Mar", "right", "Slipped on the quay steps."),)
    knee = StepDone(step="glide_inner_edge", outcome="stopped", pain=5)
    stopped = replace(
        next(entry for entry in entries if isinstance(entry, Session)),
        rest_pain=1,
        rounds=(HandsRound(steps=(knee, replace(knee, pain=None), replace(knee, step="gone_by"))),),
    )
    found = findings(Diary(plans=diary.plans, entries=(stopped,)), "right")
    assert stopped_steps_table(found, entries, catalogue).rows[::-1] == (
        ("2 Mar", catalogue.technique("glide_inner_edge").title, "5", "1", "3"),
        ("2 Mar", catalogue.technique("glide_inner_edge").title, None, "1", "hurt too much"),
        ("2 Mar", "gone by", "5", "1", "3"),
    )
    assert questions_table(entries).rows == (("10 Mar", "May I kneel in the boat?"),)
    medicine = medicine_table(entries, FIRST, last)
    assert cell(medicine, 1, "Days with extra pain medicine") == "1 of 1 answered"
    assert stairs_table(entries, FIRST, last).rows[0][0] == "10 Mar"
    mornings = [
        page(day, swelling=swelling, stiffness_minutes=minutes, night_pain=minutes > 30)
        for day, (swelling, minutes) in enumerate([("none", 0), ("some", 45), ("much", 90)])
    ]
    mornings[2] = replace(mornings[2], as_before=("stiff",))
    assert mornings_table(mornings, "right", DAY, DAY + timedelta(days=2)).rows == (
        ("4 Mar", "2 of 3", "1 of 3", "1 of 3", "2 of 3", "90", "1"),
    )
    nobody = (None,) * 6
    assert mornings_table(mornings, "left", DAY, DAY).rows == (("2 Mar", *nobody),)
    assert amounts_table(diary.entries, diary.plans, FIRST, last).headers == (
        "Week from",
        "Walk, min, goal 30",
    )


def test_days_have_their_year_once_there_are_two_of_them(catalogue: Catalogue) -> None:
    diary = full_diary()
    page = diary.entries[0]
    later = replace(page, id="f" * 32, for_day=date(2027, 1, 4))
    days = [row[0] for row in entries_table([page, later], FIRST, date(2027, 1, 4), catalogue).rows]
    assert days == ["4 Jan 2027", "2 Mar 2026"]


def test_a_move_is_described_only_where_it_was_not_the_plans() -> None:
    diary = full_diary()
    entries = current(diary.entries)
    shown = sessions_table(entries, diary.plans, "right", FIRST, FIRST)
    assert cell(shown, 0, "Done differently") == "seat 45 cm, without arms"
    session = next(entry for entry in entries if isinstance(entry, Session))
    plain = replace(session, depth=diary.plans[0].check_move.depth)
    shown = sessions_table([plain], diary.plans, "right", FIRST, FIRST)
    assert cell(shown, 0, "Done differently") is None
    other = replace(plain, comparable=False)
    shown = sessions_table([other], diary.plans, "right", FIRST, FIRST)
    assert cell(shown, 0, "Done differently") == "done differently, not compared"


def test_the_calendar_says_in_words_what_each_day_held() -> None:
    diary = full_diary()
    entries = current(diary.entries)
    shown = calendar_table(
        entries, diary.plans, "right", FIRST, FIRST + timedelta(days=8), shipped_policy()
    )
    assert [row[0] for row in shown.rows] == ["9 Mar", "2 Mar"]
    assert cell(shown, 1, "Mon") == "hands\nexercise"
    assert cell(shown, 1, "Tue") == "taped"
    assert cell(shown, 1, "Wed") is None  # nothing was written: absent, not blank
    assert cell(shown, 0, "Thu") == ""  # after the record's last day
    assert cell(shown, 1, "Asked a week") == "hands 5\nexercise 5"


def test_activities_give_their_n(catalogue: Catalogue) -> None:
    diary = demo("wilma")
    shown = activities_table(findings(diary))
    assert cell(shown, 0, "First 14 days") == "5.3 (n = 13 days)"


# ---------------------------------------------------------------- two periods


def test_two_periods_are_offered_and_told() -> None:
    diary = demo("osric")
    entries = current(diary.entries)
    days = record_days(entries, diary.plan, "left")
    offered = pairs(diary.plans, days.first_day, days.last_day)
    assert [pair.words for pair in offered] == [
        "First and last 14 days",
        "First and last 28 days",
        "Before and from plan 2",
    ]
    view = periods_view(entries, diary.plans, "left", offered[0].one, offered[0].other)
    assert "prove nothing" in view.sentence
    assert view.charts[0].last_day == offered[0].one.last
    short = Days(days.first_day, days.first_day + timedelta(days=3))
    view = periods_view(entries, diary.plans, "left", short, offered[0].other)
    assert view.sentence.startswith("Cannot tell a change")
    view = periods_view(entries, diary.plans, "left", offered[0].one, offered[0].one)
    assert view.sentence == "The periods share 14 days: no change is given."


# ---------------------------------------------------------------- the list


WATCH = POLICY.watch


def case(code: str, review: date = TODAY, **fields: Any) -> Case:
    whole = Case(code, None, "left", 1, review, None, None, TODAY, 0, 0, 0, card_before=False)
    return replace(whole, **fields)


def test_typing_finds_codes_the_beginning_first() -> None:
    cases = [case("K-07"), case("M-70"), case("7-AB")]
    assert people_view(cases, "", TODAY, WATCH).codes == ("7-AB", "K-07", "M-70")
    assert people_view(cases, "7", TODAY, WATCH).codes == ("7-AB", "K-07", "M-70")
    assert people_view(cases, "k", TODAY, WATCH).codes == ("K-07",)
    nobody = people_view(cases, "zz", TODAY, WATCH)
    assert (nobody.codes, nobody.counted) == ((), "No code holds that. 3 in the list.")
    assert people_view([], "", TODAY, WATCH).counted == "No diary has been taken in yet."
    many = people_view([case(f"K-{n:04}") for n in range(1000)], "k", TODAY, WATCH)
    assert len(many.rows) == MOST_SHOWN
    assert many.counted == "The first 60 of 1000. Type more of the code."


def test_a_row_says_what_is_due_and_what_may_be_unsafe() -> None:
    unsafe = (("open_card", 2), ("fall", 1), ("woken", 1))
    late = case("K-07", TODAY - timedelta(days=1), unsafe=unsafe, closed_days=9, of_days=42)
    past = people_view([late], "", TODAY, WATCH).rows[0]
    assert past[:4] == ("K-07", "left", "no entry yet", "24 November 2026, past")
    assert past[4:] == ("2 cards open, 1 fall, new night pain", "9 of 42 days", "1")
    every = case("K-07", unsafe=(*unsafe, ("swelling", 1), ("signal", 1)))
    named = "2 cards open, 1 fall, new night pain, and 2 more"
    assert people_view([every], "", TODAY, WATCH).rows[0][4] == named
    today = people_view([case("K-07")], "", TODAY, WATCH).rows[0]
    assert today[3:6] == ("25 November 2026", "none written down", "no day")


def test_a_row_says_for_how_long_nothing_was_written() -> None:
    def told(days: int, **fields: Any) -> str:
        silent = case("K-07", heard_of=TODAY - timedelta(days=days), **fields)
        return people_view([silent], "", TODAY, WATCH).rows[0][4]

    assert told(WATCH.silent_days - 1) == "none written down"
    assert told(WATCH.silent_days) == f"silent for {WATCH.silent_days} days"
    # After a card sooner, and before everything else.
    after = told(WATCH.silent_days_after_card, card_before=True, unsafe=(("open_card", 1),))
    assert after == f"silent for {WATCH.silent_days_after_card} days since a card, 1 card open"


def test_an_import_is_told_before_and_after() -> None:
    looks = [
        FileLook("a", "a", "new_person", None, "1", "K-07", 3),
        FileLook("b", "b", "more", None, "2", "K-08", 1),
        FileLook("c", "c", "known", Reason("here_already"), "3", "K-08"),
        FileLook("d", "d", "refused", Reason("told", said=coded("kept_changed", name="d"))),
        FileLook("e", "e", "doubt", Reason("nothing_in_common"), "5", "K-09", 1),
    ]
    view = import_preview(looks)
    assert view.lead == (
        "2 files can be taken in: 1 new person, more of 1 in the list.",
        "1 file holds nothing that is not here: c.",
    )
    assert view.main == "Take in 2 files"
    assert [row[0] for row in view.brings] == ["a", "b"]
    assert view.left == ("d is not as it was taken in. Take the file in again.",)
    assert [look.name for look in view.doubts] == ["e"]
    assert import_preview(looks[2:4]).main is None
    file = KeptFile("n", "1", 1, 1, "K-07", "")
    not_copied = Reason("not_copied", {"because": "no space left on device"})
    done = [Taken(looks[0], file, None), Taken(looks[1], None, None, not_copied)]
    assert taken_words(done, 2) == (
        "1 file was taken in. Left: b: It could not be copied: no space left on device."
    )
    assert taken_words(done[:1], 2) == "1 file was taken in. Stopped there: 1 of 2 were left."
    assert undo_words(Undone(("a", "b"), ("K-07",), ())) == (
        "The last import brought 2 files. Without them 1 person is no longer in the list. "
        "The files are kept beside the list."
    )
    assert undo_words(Undone(("a",), (), (case("K-08"),))) == (
        "The last import brought 1 file. Without it 1 person keeps what came before. "
        "The files are kept beside the list."
    )
    torn = replace(file, person=None, sentence="x is damaged.")
    assert unusable_lines(People((), (torn,), 2, can_undo=False, watch=WATCH)) == ("x is damaged.",)


def test_the_clinic_reads_its_own_words_for_what_a_file_is_refused_for() -> None:
    values = {"person": "K-07", "theirs": 1961, "ours": 1951, "n": 2}
    for why in REFUSED:
        row = REFUSED[why].filled(**values)
        assert "linic" not in row.clinic, "whoever reads this is the clinic"
        assert "{" not in row.clinic + row.home
    told = look_words(FileLook("p", "k.homeknee", "refused", Refusal("another_birth_year", values)))
    assert told == (
        "k.homeknee: It has the code K-07 and the birth year 1961, but here K-07 was born in 1951. "
        "Find out whose it is: one of the two needs another code."
    )
    days = {"second": 2, "after": TODAY, "first": 1, "before": TODAY + timedelta(days=1)}
    assert reason_words(Reason("plans_backwards", days)) == (
        "Plan 2 would be from 25 November 2026, before plan 1 of 26 November 2026. Is it the same "
        "person?"
    )
    many = [FileLook("p", f"f{n}", "known", Refusal("nothing_new")) for n in range(7)]
    assert import_preview(many).lead[1] == (
        "7 files hold nothing that is not here: f0, f1, f2, f3, f4 and 2 more."
    )


def test_what_is_open_when_the_diary_ends_is_told_by_its_one_owner(catalogue: Catalogue) -> None:
    on = tape_on(at(2, 9))
    looked = outing(2, happened_at=at(2, 10))
    entries = (page(2, pain_average=4), on, looked)
    diary = Diary(plans=(made_plan(),), entries=entries)
    days = record_days(entries, diary.plan, "right")
    answers = clinic_answers(knees_of(diary), diary.plans, days, catalogue)
    (row,) = (row for one in answers for row in one.rows if row.label == "Open now")
    assert row.cells[0].words == "an outing not told of; tape on, due off 5 Mar"
