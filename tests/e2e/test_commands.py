"""Each line of the contract for scripts, held by the installed command itself.

All of it runs without a display and under a POSIX locale; what opens a window is painted offscreen.
"""

from __future__ import annotations

import csv
import hashlib
import json
import re
import shutil
import tomllib
from datetime import date
from pathlib import Path
from subprocess import CompletedProcess

import jsonschema
import pytest

from companion.exchange.files import VERSIONS, read
from companion.journal.backups import made_now
from companion.journal.store import Journal
from companion.system.clock import PinnedClock
from companion.system.resources import demo_profiles, resource
from tests.e2e.running import bare_environment, here, homeknee

OFFSCREEN = bare_environment(QT_QPA_PLATFORM="offscreen")
ROOT = Path(__file__).resolve().parents[2]
PEOPLE = sorted(path.name for path in demo_profiles().iterdir() if (path / "story.txt").exists())
PLAN = demo_profiles() / "edda" / "plan.homeknee"
DIARY = demo_profiles() / "edda" / "diary.homeknee"
BOTH_KNEES = demo_profiles() / "wilma" / "diary.homeknee"

Done = CompletedProcess[str]


def refused(done: Done, code: int = 1) -> str:
    """The one line of a command that refused; it wrote nothing else and left no traceback."""
    assert done.returncode == code, done
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1, done.stderr
    assert done.stderr.endswith("\n")
    assert "Traceback" not in done.stderr
    assert len(done.stderr) > 20
    return done.stderr


def well(done: Done) -> str:
    """What a command wrote that did all it was asked."""
    assert (done.returncode, done.stderr) == (0, ""), done
    return done.stdout


def entries_in(folder: Path) -> int:
    with Journal.open(folder, PinnedClock(date(2026, 11, 23)), read_only=True) as journal:
        return journal.count()


# ---------------------------------------------------------------- the version


def test_the_version_is_one_line() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert well(homeknee("--version")) == f"homeknee {project['version']}\n"


# ---------------------------------------------------------------- doctor


def test_doctor_says_what_is_well_and_what_mends_the_rest(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    folder.mkdir(mode=0o700)
    with Journal.open(folder, PinnedClock(date(2026, 11, 23))) as journal:
        diary = read(DIARY).diary
        assert diary is not None
        journal.append(*diary.entries[:3], plans=diary.plans)
    done = homeknee("doctor", folder, "--json", "--today", "2026-11-23")
    told = json.loads(done.stdout)
    by_name = {one["check"]: one for one in told["checks"]}
    assert (by_name["diary"]["state"], by_name["diary"]["values"]["entries"]) == ("well", 3)
    # No copy was made yet: that, and nothing else, is to be mended.
    assert [name for name, one in by_name.items() if one["state"] == "to_mend"] == ["copies"]
    assert (done.returncode, done.stderr, told["well"]) == (1, "", False)
    made_now(folder, date(2026, 11, 23))
    assert well(homeknee("doctor", folder, "--today", "2026-11-23")).endswith("All is well.\n")


# ---------------------------------------------------------------- demo


def test_demo_lists_its_people_one_a_line() -> None:
    listed = well(homeknee("demo")).splitlines()
    assert listed == PEOPLE
    assert len(listed) == 5
    assert all(re.fullmatch(r"[a-z0-9-]+", name) for name in listed)


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder that `homeknee demo edda --out` made."""
    folder = tmp_path_factory.mktemp("out") / "made" / "by" / "it"
    well(homeknee("demo", "edda", "--out", folder))
    return folder


def test_demo_out_makes_exactly_its_files(out: Path) -> None:
    names = sorted(path.name for path in out.iterdir())
    assert [name for name in names if name.startswith("plan.")] == ["plan.homeknee"]
    assert [name for name in names if name.startswith("diary.")] == ["diary.homeknee"]
    made = {"plan.homeknee", "diary.homeknee", "visit-summary.pdf", "record.png", "findings.json"}
    assert set(names) == made | {"booklet.pdf", "cutting-sheet.pdf"}
    assert (out / "visit-summary.pdf").read_bytes().startswith(b"%PDF-1.")
    assert (out / "record.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    assert read(out / "plan.homeknee").plan == read(PLAN).plan


def test_another_run_writes_the_same_papers(out: Path, tmp_path: Path) -> None:
    """To the byte, in another process; only the diary holds new names of its new entries."""
    well(homeknee("demo", "edda", "--out", tmp_path / "again"))
    for path in out.iterdir():
        if path.name != "diary.homeknee":
            assert (tmp_path / "again" / path.name).read_bytes() == path.read_bytes(), path.name


def test_the_loop_has_gone_round(out: Path) -> None:
    """The diary handed over holds the record and the day that was walked through after it."""
    before, after = read(DIARY).diary, read(out / "diary.homeknee").diary
    assert before is not None
    assert after is not None
    last = max(entry.for_day for entry in before.entries)
    new = [entry for entry in after.entries if entry not in before.entries]
    assert set(before.entries) < set(after.entries)
    assert {entry.kind for entry in new} >= {"session", "day_page"}
    assert {(entry.for_day - last).days for entry in new} == {1}


def test_findings_json_is_the_object_findings_prints(out: Path) -> None:
    printed = well(homeknee("findings", out / "diary.homeknee", "--json"))
    assert printed == (out / "findings.json").read_text(encoding="utf-8")
    schema = json.loads(resource("schemas", "findings-1.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(json.loads(printed), schema)


def test_an_unknown_person_is_refused(tmp_path: Path) -> None:
    assert "nobody" in refused(here("demo", "nobody", "--out", tmp_path / "x"))
    assert not (tmp_path / "x").exists()


def test_out_that_cannot_be_a_folder_is_the_machines_fault(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("a file stands here")
    refused(homeknee("demo", "edda", "--out", taken), 3)
    assert taken.read_text() == "a file stands here"


# ---------------------------------------------------------------- windows


def shown(done: Done) -> float:
    """The instant at which a window was first painted."""
    said = re.fullmatch(r"shown (\d+(?:\.\d+)?)\n", well(done))
    assert said is not None, done
    return float(said[1])


def test_a_demo_window_fills_an_empty_folder_and_opens_any_other_as_it_is(tmp_path: Path) -> None:
    folder = tmp_path / "store"
    window = ("demo", "edda", "--data-dir", folder, "--quit-when-shown")
    first = shown(homeknee(*window, env=OFFSCREEN))
    filled = entries_in(folder)
    edda = read(DIARY).diary
    assert edda is not None
    assert filled == len(edda.entries)
    assert shown(homeknee(*window, env=OFFSCREEN)) > first
    # Another person's name, and another diary, change nothing in a folder that is not empty.
    other = ("demo", "wilma", "--data-dir", folder, "--diary", BOTH_KNEES, "--quit-when-shown")
    shown(homeknee(*other, env=OFFSCREEN))
    assert entries_in(folder) == filled


def test_a_demo_window_fills_from_a_named_diary(tmp_path: Path) -> None:
    window = ("demo", "edda", "--data-dir", tmp_path / "s", "--diary", BOTH_KNEES)
    shown(homeknee(*window, "--quit-when-shown", env=OFFSCREEN))
    wilma = read(BOTH_KNEES).diary
    assert wilma is not None
    assert entries_in(tmp_path / "s") == len(wilma.entries)


def test_a_diary_that_is_damaged_fills_nothing(tmp_path: Path) -> None:
    bad = tmp_path / "bad"
    bad.write_bytes(DIARY.read_bytes()[:-1])
    window = ("demo", "edda", "--data-dir", tmp_path / "s", "--diary", bad, "--quit-when-shown")
    refused(homeknee(*window, env=OFFSCREEN))
    assert not (tmp_path / "s").exists() or not any((tmp_path / "s").iterdir())


def test_home_opens_without_a_plan(tmp_path: Path) -> None:
    shown(homeknee("--data-dir", tmp_path / "s", "--quit-when-shown", env=OFFSCREEN))
    assert entries_in(tmp_path / "s") == 0


@pytest.mark.parametrize(
    "window", [(), ("clinic",), ("demo", "edda")], ids=["home", "clinic", "demo"]
)
def test_the_folder_and_the_showing_are_the_same_before_the_command_and_after_it(
    tmp_path: Path, window: tuple[str, ...]
) -> None:
    """Data that were to lie apart lie there and nowhere else."""
    usual = tmp_path / "usual"
    env = OFFSCREEN | {"XDG_DATA_HOME": str(usual)}
    for folder in (tmp_path / "before", tmp_path / "after"):
        apart: tuple[str | Path, ...] = ("--data-dir", folder, "--quit-when-shown")
        said = (*apart, *window) if folder.name == "before" else (*window, *apart)
        shown(homeknee(*said, env=env))
        assert any(folder.iterdir())
        assert not usual.exists()
    assert filled(tmp_path / "before") == filled(tmp_path / "after")


def filled(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


@pytest.mark.parametrize("order", ["before", "after"])
def test_a_command_without_a_window_takes_no_folder_in_either_order(
    tmp_path: Path, order: str
) -> None:
    apart: tuple[str | Path, ...] = ("--data-dir", tmp_path / "d")
    command = ("verify", DIARY)
    said = (*apart, *command) if order == "before" else (*command, *apart)
    assert "data-dir" in refused(here(*said), 2)


def test_a_window_without_a_display_is_the_machines_fault(tmp_path: Path) -> None:
    assert "display" in refused(homeknee("--data-dir", tmp_path), 3)
    assert "display" in refused(homeknee("demo", "edda", "--data-dir", tmp_path), 3)
    assert not any(tmp_path.iterdir())


def test_a_store_that_is_in_use_is_left_alone(tmp_path: Path) -> None:
    with Journal.open(tmp_path, PinnedClock(date(2026, 11, 23))):
        refused(homeknee("--data-dir", tmp_path, "--quit-when-shown", env=OFFSCREEN), 3)


# ---------------------------------------------------------------- from-table


TABLE = (
    "day,pain_average,pain_worst,before,after_hands,medicine,note,activity:rowing\r\n"
    '2026-10-05,6,8,8,4,1,"Cold, and a long walk",3\r\n'
    "2026-10-06,5,,,,0,,\r\n"
    "2026-10-07,,,,,,,\r\n"
    "2026-10-08,4,6,6,3,,,5\r\n"
)
"""Invented rows; of them the third makes no page."""


def table(folder: Path, text: str = TABLE, name: str = "paper.csv") -> Path:
    place = folder / name
    place.write_bytes(text.encode())
    return place


def from_table(folder: Path, text: str, *more: str) -> Done:
    place = table(folder, text)
    return here("from-table", place, "--plan", PLAN, "--out", folder / "made", *more)


def test_a_table_becomes_a_diary_file_and_a_table_again(tmp_path: Path) -> None:
    made = ("--plan", PLAN, "--out", tmp_path / "made", "--today", "2026-11-23")
    well(homeknee("from-table", table(tmp_path), *made))
    diary = read(tmp_path / "made").diary
    assert diary is not None
    assert [entry.kind for entry in diary.entries].count("day_page") == 3
    assert [entry.kind for entry in diary.entries].count("session") == 2
    assert {entry.written_by for entry in diary.entries} == {"paper"}
    well(here("export", tmp_path / "made", "--csv", tmp_path / "again.csv"))
    rows = list(csv.DictReader((tmp_path / "again.csv").read_text(encoding="utf-8").splitlines()))
    submitted = [row for row in csv.DictReader(TABLE.splitlines()) if row["day"] != "2026-10-07"]
    assert [{key: row[key] for key in submitted[0]} for row in rows] == submitted
    # What was exported comes in again, and is then exported the same to the byte.
    again = (tmp_path / "again.csv").read_text(encoding="utf-8")
    well(from_table(tmp_path, again, "--today", "2026-11-23"))
    well(here("export", tmp_path / "made", "--csv", tmp_path / "third.csv"))
    assert (tmp_path / "third.csv").read_bytes() == (tmp_path / "again.csv").read_bytes()


def test_a_byte_order_mark_is_tolerated(tmp_path: Path) -> None:
    well(from_table(tmp_path, "\ufeff" + TABLE, "--today", "2026-11-23"))


FAULTY = TABLE + "2026-10-09,11,,,,,,\r\n2026-10-10,3,,,,maybe,,\r\n2026-10-11,3,,,,,,\r\n"


def test_faults_are_listed_by_line_and_column_and_nothing_is_written(tmp_path: Path) -> None:
    done = from_table(tmp_path, FAULTY, "--today", "2026-11-23")
    assert (done.returncode, done.stdout) == (1, "")
    first, second = done.stderr.splitlines()
    # The header is line 1.
    assert "6" in first
    assert "pain_average" in first
    assert "11" in first
    assert "7" in second
    assert "medicine" in second
    assert not (tmp_path / "made").exists()


def test_skip_bad_leaves_out_what_is_at_fault(tmp_path: Path) -> None:
    done = from_table(tmp_path, FAULTY, "--skip-bad", "--today", "2026-11-23")
    assert (done.returncode, done.stdout) == (0, "")
    assert len(done.stderr.splitlines()) == 2
    diary = read(tmp_path / "made").diary
    assert diary is not None
    days = {entry.for_day.isoformat() for entry in diary.entries}
    # A slip costs its cell; the row that held nothing else makes no page.
    assert days == {"2026-10-05", "2026-10-06", "2026-10-08", "2026-10-10", "2026-10-11"}


def test_a_blank_table_is_filled_in_and_taken_in(tmp_path: Path) -> None:
    blank = tmp_path / "blank.csv"
    well(here("blank-table", PLAN, "--out", blank, "--today", "2026-11-16"))
    rows = list(csv.DictReader(blank.read_text(encoding="utf-8").splitlines()))
    # The plan's review is on 24 November.
    assert [row["day"] for row in rows] == [f"2026-11-{day}" for day in range(16, 25)]
    assert all(value == "" for row in rows for name, value in row.items() if name != "day")
    lines = blank.read_text(encoding="utf-8").replace(",", ";").splitlines()
    filled = "\n".join([lines[0].upper(), "17/11/2026;4", "18 Nov 2026;5"])
    well(from_table(tmp_path, filled, "--today", "2026-11-20"))
    diary = read(tmp_path / "made").diary
    assert diary is not None
    assert sorted(entry.for_day.day for entry in diary.entries) == [17, 18]
    well(from_table(tmp_path, "day,pain_now\n11/02/2026,4\n", "--month-first"))
    diary = read(tmp_path / "made").diary
    assert diary is not None
    assert [entry.for_day.month for entry in diary.entries] == [11]


def test_today_counts_before_the_command_and_after_it(tmp_path: Path) -> None:
    """A row of a day to come is a fault; which day that is follows from --today."""
    place = table(tmp_path)
    made = ("--plan", PLAN, "--out", tmp_path / "made")
    for when in (("2026-10-06", 1), ("2026-10-08", 0)):
        before = here("--today", when[0], "from-table", place, *made)
        after = here("from-table", place, *made, "--today", when[0])
        assert (before.returncode, after.returncode) == (when[1], when[1])
        assert before.stderr == after.stderr


def test_any_file_that_holds_the_plan_is_one(tmp_path: Path) -> None:
    """The clinic hands over the plan and the first session in one diary file, and no other."""
    place = table(tmp_path)
    for plan in (PLAN, DIARY):
        well(here("from-table", place, "--plan", plan, "--out", tmp_path / plan.name))
    by_plan, by_diary = (read(tmp_path / each.name).diary for each in (PLAN, DIARY))
    assert by_plan is not None
    assert by_diary is not None
    assert by_plan.plans == by_diary.plans
    assert len(by_plan.entries) == len(by_diary.entries) > 0


def test_what_holds_no_plan_makes_nothing(tmp_path: Path) -> None:
    place = table(tmp_path)
    refused(here("from-table", place, "--plan", place, "--out", tmp_path / "made"))
    refused(here("from-table", tmp_path / "none", "--plan", PLAN, "--out", tmp_path / "made"))
    assert not (tmp_path / "made").exists()


# ---------------------------------------------------------------- findings


def test_findings_are_words_or_one_object_and_silence_alone_depends_on_today() -> None:
    words = well(homeknee("findings", DIARY))
    assert len(words.splitlines()) > 5
    now = well(here("findings", DIARY, "--json"))
    found = json.loads(now)
    later = json.loads(well(here("findings", DIARY, "--json", "--today", "2031-01-01")))
    assert found["side"] == "right"
    assert later.pop("read_on") == "2031-01-01" != found.pop("read_on")
    assert [one["code"] for one in later.pop("unsafe")] == [
        "silent",
        *(o["code"] for o in found.pop("unsafe")),
    ]
    for told in (later, found):
        told["provenance"].pop("unsafe")
        assert told["verdicts"].pop("kept")["need"] is None
    assert later["verdicts"].pop("unsafe")["verdict"] == "silent"
    assert found["verdicts"].pop("unsafe")["verdict"] == "none_written"
    assert later == found


def test_findings_of_a_folder_ask_for_the_table(tmp_path: Path) -> None:
    for more in ((), ("--json",)):
        assert "--table" in refused(here("findings", tmp_path, *more))


def test_a_plan_for_both_knees_has_a_main_one() -> None:
    main = json.loads(well(here("findings", BOTH_KNEES, "--json")))
    diary = read(BOTH_KNEES).diary
    assert diary is not None
    assert main["side"] == diary.plan.main_side
    sides = {
        side: json.loads(well(here("findings", BOTH_KNEES, "--json", "--side", side)))
        for side in ("left", "right")
    }
    assert {side: found["side"] for side, found in sides.items()} == {
        "left": "left",
        "right": "right",
    }
    assert sides[main["side"]] == main
    assert sides["left"]["pain"] != sides["right"]["pain"]


def test_a_knee_that_is_not_in_the_plan_is_refused() -> None:
    refused(here("findings", DIARY, "--json", "--side", "left"))


def test_a_table_has_a_row_a_diary_and_side_and_one_bad_file_stops_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "diaries"
    folder.mkdir()
    shutil.copy(DIARY, folder / "a.homeknee")
    shutil.copy(BOTH_KNEES, folder / "c.txt")
    (folder / "b.homeknee").write_bytes(DIARY.read_bytes()[:-7])
    done = here("findings", folder, "--table", tmp_path / "t.csv")
    assert (done.returncode, done.stdout) == (0, "")
    (fault,) = done.stderr.splitlines()
    assert "b.homeknee" in fault
    rows = list(csv.DictReader((tmp_path / "t.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["side"] for row in rows].count("right") == 2
    assert len(rows) == 3
    refused(here("findings", DIARY, "--table", tmp_path / "u.csv"))
    assert not (tmp_path / "u.csv").exists()


# ---------------------------------------------------------------- verify


@pytest.mark.parametrize("whole", [DIARY, PLAN], ids=["diary", "plan"])
def test_what_is_whole_is_known_by_its_content(whole: Path, tmp_path: Path) -> None:
    renamed = tmp_path / "holiday.jpeg"
    shutil.copy(whole, renamed)
    assert well(homeknee("verify", renamed)).count("\n") == 1


def signed(kind: str, version: int, body: bytes) -> bytes:
    """A file of any version under a good checksum, made by the form's own rules."""
    start = f"homeknee {kind} {version}"
    digest = hashlib.sha256(start.encode() + b"\n" + body).hexdigest()
    return f"{start} {digest}\n".encode() + body


WHOLE = DIARY.read_bytes()
BAD = {
    "a byte turned": WHOLE[:500] + bytes([WHOLE[500] ^ 1]) + WHOLE[501:],
    "cut short": WHOLE[: len(WHOLE) // 2],
    "without the last line feed": WHOLE[:-1],
    "with one line feed more": WHOLE + b"\n",
    "line ends changed": WHOLE.replace(b"\n", b"\r\n"),
    "empty": b"",
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(64),
    "too new": signed("diary", VERSIONS["diary"] + 1, b"{}\n"),
    # https://age-encryption.org/v1: the first line of a sealed file.
    "sealed": b"age-encryption.org/v1\n-> X25519 abc\n" + bytes(64),
    "another shape": signed("diary", 1, b'{"person":"K-07"}\n'),
}


@pytest.mark.parametrize("what", BAD)
def test_what_is_not_whole_gets_one_line(what: str, tmp_path: Path) -> None:
    place = tmp_path / "diary.homeknee"
    place.write_bytes(BAD[what])
    refused(here("verify", place))


def test_the_bad_states_are_told_apart(tmp_path: Path) -> None:
    said = set()
    for what in ("a byte turned", "a picture", "too new", "sealed", "another shape"):
        (tmp_path / "f").write_bytes(BAD[what])
        said.add(refused(here("verify", tmp_path / "f")))
    said.add(refused(here("verify", tmp_path / "none")))
    assert len(said) == 6


# ---------------------------------------------------------------- export, usage


def test_export_writes_exactly_there_and_only_from_a_whole_diary(tmp_path: Path) -> None:
    (tmp_path / "cut").write_bytes(WHOLE[:-1])
    refused(here("export", tmp_path / "cut", "--csv", tmp_path / "t.csv"))
    refused(here("export", PLAN, "--csv", tmp_path / "t.csv"))
    assert [path.name for path in tmp_path.iterdir()] == ["cut"]
    well(homeknee("export", DIARY, "--csv", "t.csv", cwd=tmp_path))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["cut", "t.csv"]
    data = (tmp_path / "t.csv").read_bytes()
    assert data.startswith(b"day,")
    assert not data.startswith(b"\xef\xbb\xbf")


def test_a_place_that_cannot_be_written_is_the_machines_fault(tmp_path: Path) -> None:
    refused(here("export", DIARY, "--csv", tmp_path / "no" / "such" / "folder.csv"), 3)
    assert not any(tmp_path.iterdir())


@pytest.mark.parametrize(
    "arguments",
    [
        ("nonsense",),
        ("verify",),
        ("from-table", "x.csv"),
        ("export", str(DIARY)),
        ("findings", str(DIARY), "--side", "middle"),
        ("--today", "tomorrow", "demo"),
        ("demo", "--out", "x"),
        ("demo", "edda", "--diary", "x"),
        ("--data-dir", "x", "demo"),
        ("--data-dir", "x", "demo", "edda", "--out", "y"),
        ("--quit-when-shown", "verify", "x"),
    ],
    ids=lambda arguments: " ".join(Path(part).name for part in arguments),
)
def test_a_wrong_command_line_is_usage(arguments: tuple[str, ...], tmp_path: Path) -> None:
    refused(here(*arguments, cwd=tmp_path), 2)


def test_help_is_no_fault() -> None:
    assert "demo" in well(homeknee("--help"))


def test_what_a_file_is_called_or_holds_never_reaches_the_terminal_raw(tmp_path: Path) -> None:
    """Escapes clear a screen and set its title, an override turns the line round, a key of a
    megabyte fills it."""
    loud = "\x1b[2J\x1b]0;evil\x07\u202etxt.homeknee"
    diary = tmp_path / loud
    diary.write_bytes(b"homeknee diary 3 " + b"0" * 64 + b"\n{}\n")
    key = json.dumps({"\x1b[2J" + "k" * 900_000: 1}).encode() + b"\n"
    keyed = tmp_path / "key.homeknee"
    keyed.write_bytes(signed("plan", 3, key))
    for done in (
        here("verify", diary),
        here("verify", keyed),
        here("findings", diary),
        here("export", tmp_path / f"{loud}2", "--csv", tmp_path / "out.csv"),
        here("demo", loud),
    ):
        assert done.returncode == 1
        assert len(done.stderr) < 700
        assert all(letter.isprintable() or letter == "\n" for letter in done.stderr)


def test_a_today_no_diary_can_have_is_a_wrong_command_line() -> None:
    done = homeknee("--today", "0001-01-01", "demo")
    assert done.returncode == 2
    assert "not between 1900 and 2200" in done.stderr
