"""The commands. Each is a few lines: read, call, write, and one plain sentence when refused."""

from __future__ import annotations

import argparse
import builtins
import contextlib
import gc
import importlib
import os
import sys
from collections.abc import Callable, Collection, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from companion import __version__
from companion.app.exits import DONE, MACHINE, REFUSED, USAGE, MachineFails, Refused
from companion.care.coded import KnownFault, coded
from companion.care.ranges import YEARS
from companion.care.shown_text import in_one_line, shown
from companion.presentation.language.phrases import listed, phrase
from companion.presentation.language.said import said_words
from companion.system.clock import Clock, PinnedClock, SystemClock

if TYPE_CHECKING:
    from companion.care.records import Diary, Plan
    from companion.exchange.findings_table import FileRows

    _Commands = argparse._SubParsersAction["_Parser"]

_LONGEST_LINE = 600


def run(arguments: Sequence[str]) -> int:
    """Run one command; its exit code."""
    try:
        _speak_as_told(arguments)
    except Refused as refused:
        _say(str(refused))
        return REFUSED
    said, told = _with_command(arguments)
    parser = _parser(told)
    options = parser.parse_args(said, _unsaid())
    act: Callable[[argparse.Namespace], int] = options.act
    if act not in _WINDOWS and (options.data_dir is not None or options.quit_when_shown):
        parser.error(phrase("only a window takes --data-dir and --quit-when-shown"))
    try:
        return act(options)
    except Refused as refused:
        _say(str(refused))
        return REFUSED
    except KnownFault as known:
        _say(said_words(known.said))
        return REFUSED
    except MachineFails as fault:
        _say(str(fault))
        return MACHINE
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as fault:
        _say(
            phrase(
                "The machine refused at {where}: {why}.",
                where=fault.filename or phrase("this machine"),
                why=fault.strerror.lower() if fault.strerror else phrase("unknown trouble"),
            )
        )
        return MACHINE
    except KeyboardInterrupt:
        _say(phrase("Stopped."))
        return MACHINE
    except Exception as bug:  # noqa: BLE001 - the one place where every bug ends
        _log(bug, options.data_dir)
        _say(phrase("The program itself is at fault here. What was saved before is safe."))
        return MACHINE


def _speak_as_told(arguments: Sequence[str]) -> None:
    """In the language that is asked for, wherever that stands: what describes the commands is said
    before the command line is read. Raises Refused."""
    if not any(word.startswith("--l") for word in arguments):
        return
    asked = _Parser(add_help=False, exit_on_error=False)
    asked.add_argument("--language")
    language: str | None = None
    with contextlib.suppress(argparse.ArgumentError):  # told when the whole line is read
        language = asked.parse_known_args(arguments)[0].language
    if language is not None:
        from companion.app.languages import choose

        choose(language)


_OPEN = "open"


def _with_command(arguments: Sequence[str]) -> tuple[list[str], Collection[str]]:
    """The same, with the command that opens a file where a file stands in a command's place; and
    the commands that are described. With the one that is meant alone a window opens sooner: all of
    them are only described to whoever asks for help, or names one there is not."""
    words = list(arguments)
    place = 0
    while place < len(words) and words[place].startswith("-"):
        place += 2 if words[place] in ("--today", "--data-dir") else 1
    here = words[place : place + 1]
    if here and here[0] not in _COMMANDS and Path(here[0]).is_file():
        words.insert(place, _OPEN)
        here = [_OPEN]
    helped = any(word.startswith(("-h", "--h")) for word in words[:place])
    return words, _COMMANDS if helped or not {*here} <= {*_COMMANDS} else here


def _log(bug: Exception, data_dir: Path | None = None) -> None:
    """Keep the places a bug passed through, for whoever repairs the program."""
    from companion.system.atomic import private_folder
    from companion.system.folders import data_folder
    from companion.system.logs import PrivateLog

    folder = data_folder(data_dir)
    with contextlib.suppress(OSError):
        private_folder(folder)
    PrivateLog(folder, SystemClock()).fault("command", bug)


def _say(sentence: str) -> None:
    print(one_line(sentence), file=sys.stderr)


def one_line(sentence: str) -> str:
    """A sentence for a terminal. A name or a key in it may hold whatever a file may hold: nothing
    in it clears the screen, turns the line round or runs on without end."""
    return in_one_line(" ".join(sentence.split()), _LONGEST_LINE)


# ---------------------------------------------------------------- the words of the command line


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        said = phrase(
            "{program}: {message}. Say {program} --help for what it takes.",
            program=self.prog,
            message=message,
        )
        self.exit(USAGE, f"{said}\n")

    def format_help(self) -> str:
        """The headings too; not before, as those of a parent and its own are one by their words."""
        self._positionals.title = phrase("positional arguments")
        self._optionals.title = phrase("options")
        for action in self._actions:
            if action.dest == "help":
                action.help = phrase("show this help message and exit")
        return phrase("usage: ") + super().format_help().removeprefix("usage: ")


def _common() -> _Parser:
    """What stands before the command and after it. No default here: that of the parser after the
    command would undo what was said before it. The defaults stand once, in `_unsaid`."""
    common = _Parser(add_help=False, argument_default=argparse.SUPPRESS)
    common.add_argument("--today", type=_day, metavar="DATE", help=phrase("pin today, 2026-03-09"))
    common.add_argument("--language", metavar="CODE", help=phrase("of what is shown and printed"))
    return common


def _window() -> _Parser:
    """The same for what opens a window."""
    window = _Parser(add_help=False, argument_default=argparse.SUPPRESS, parents=[_common()])
    window.add_argument("--data-dir", type=Path, metavar="DIR", help=phrase("keep the data there"))
    window.add_argument("--quit-when-shown", action="store_true", help=argparse.SUPPRESS)
    return window


def _unsaid() -> argparse.Namespace:
    """What holds of `_common` and `_window` where nothing was said."""
    return argparse.Namespace(today=None, language=None, data_dir=None, quit_when_shown=False)


def _parser(told: Collection[str]) -> argparse.ArgumentParser:
    """What reads the command line, with these commands described."""
    common, window = _common(), _window()
    parser = _Parser(
        prog="homeknee",
        parents=[window],
        description=phrase(
            "The home knee companion: the routine that was prescribed, and its diary."
        ),
    )
    parser.set_defaults(act=_home)
    parser.add_argument(
        "--version",
        action="store_const",
        dest="act",
        const=_version,
        help=phrase("say which version"),
    )
    commands = parser.add_subparsers(metavar="COMMAND", parser_class=_Parser)
    for add in dict.fromkeys(_COMMANDS[name] for name in told):
        add(commands, common, window)
    return parser


def _add_demos(commands: _Commands, common: _Parser, window: _Parser) -> None:
    demo = commands.add_parser(
        "demo", parents=[window], help=phrase("look round with an invented person")
    )
    demo.add_argument(
        "name", nargs="?", help=phrase("whose diary; without it, the people are listed")
    )
    demo.add_argument(
        "--out", type=Path, metavar="DIR", help=phrase("write everything there, no window")
    )
    demo.add_argument(
        "--diary", type=Path, metavar="FILE", help=phrase("fill an empty --data-dir from it")
    )
    demo.add_argument(
        "--practice", action="store_true", help=phrase("with a plan that nobody signed")
    )
    demo.set_defaults(act=_demo)

    filled = commands.add_parser("fill-demo", parents=[common])  # without help it is told nobody
    filled.add_argument("folder", type=Path)
    filled.add_argument("diary", type=Path)
    filled.add_argument("--practice", action="store_true")
    filled.set_defaults(act=_fill_demo)


def _add_windows(commands: _Commands, _common: _Parser, window: _Parser) -> None:
    opened = commands.add_parser(
        _OPEN, parents=[window], help=phrase("a plan or diary, in its window")
    )
    opened.add_argument("file", type=Path)
    opened.set_defaults(act=_open)

    clinic = commands.add_parser("clinic", parents=[window], help=phrase("the clinic's desk"))
    clinic.add_argument(
        "--open", metavar="CODE", help=phrase("go straight to the diary of that code")
    )
    clinic.add_argument("file", type=Path, nargs="?", help=phrase("a diary to take in"))
    clinic.set_defaults(act=_clinic)


def _add_files(commands: _Commands, common: _Parser, _window: _Parser) -> None:
    verify = commands.add_parser(
        "verify", parents=[common], help=phrase("is a file whole and readable")
    )
    verify.add_argument("file", type=Path)
    verify.set_defaults(act=_verify)

    export = commands.add_parser(
        "export",
        parents=[common],
        help=phrase("a diary in open formats"),
        epilog=phrase("The codes in a FHIR bundle belong to others: see resources/notices.txt."),
    )
    export.add_argument("diary", type=Path)
    export.add_argument("--fhir", type=Path, metavar="FILE", help=phrase("an HL7 FHIR R4 bundle"))
    export.add_argument(
        "--snomed",
        action="store_true",
        help=phrase("SNOMED CT codes in the bundle: only where you or your country are licensed"),
    )
    export.add_argument("--csv", type=Path, metavar="FILE", help=phrase("the table"))
    export.add_argument(
        "--ics", type=Path, metavar="FILE", help=phrase("what is to come, as a calendar")
    )
    export.set_defaults(act=_export)


def _add_care(commands: _Commands, common: _Parser, window: _Parser) -> None:
    remind = commands.add_parser(
        "remind", parents=[window], help=phrase("what is due now, as a message of the desktop")
    )
    remind.add_argument(
        "--every", type=int, metavar="MINUTES", help=phrase("look again, without end")
    )
    remind.set_defaults(act=_remind)
    doctor = commands.add_parser(
        "doctor", parents=[common], help=phrase("is all well, and what mends it")
    )
    doctor.add_argument(
        "folder", type=Path, nargs="?", metavar="DIR", help=phrase("another data folder")
    )
    doctor.add_argument("--json", action="store_true", help=phrase("one JSON object"))
    doctor.set_defaults(act=_doctor)


def _add_pictures(commands: _Commands, common: _Parser, _window: _Parser) -> None:
    picture = commands.add_parser(
        "picture", parents=[common], help=phrase("the pictures of a plan")
    )
    picture.add_argument("plan", type=Path, help=phrase("a file that holds the plan"))
    picture.add_argument("--out", type=Path, required=True, metavar="DIR")
    picture.set_defaults(act=_picture)


def _add_tables(commands: _Commands, common: _Parser, _window: _Parser) -> None:
    table = commands.add_parser(
        "from-table", parents=[common], help=phrase("a table to a diary file")
    )
    table.add_argument("table", type=Path, metavar="CSV")
    table.add_argument(
        "--plan", type=Path, required=True, help=phrase("a file that holds the plan")
    )
    table.add_argument("--out", type=Path, required=True, metavar="DIARY")
    table.add_argument("--skip-bad", action="store_true", help=phrase("leave out what is at fault"))
    table.add_argument(
        "--month-first",
        action="store_true",
        help=phrase("11/02/2026 is in November, not in February"),
    )
    table.set_defaults(act=_from_table)

    blank = commands.add_parser(
        "blank-table", parents=[common], help=phrase("a table to be filled in")
    )
    blank.add_argument("plan", type=Path, help=phrase("a file that holds the plan"))
    blank.add_argument("--out", type=Path, required=True, metavar="CSV")
    blank.set_defaults(act=_blank_table)


def _add_findings(commands: _Commands, common: _Parser, _window: _Parser) -> None:
    found = commands.add_parser("findings", parents=[common], help=phrase("what a diary shows"))
    found.add_argument("source", type=Path, metavar="DIARY|FOLDER")
    found.add_argument("--json", action="store_true", help=phrase("one JSON object"))
    found.add_argument("--side", choices=("left", "right"))
    found.add_argument(
        "--table",
        type=Path,
        metavar="FILE",
        help=phrase("one row a diary of a folder: CSV, or .parquet"),
    )
    found.add_argument(
        "--shard", type=_shard, metavar="N/OF", help=phrase("a part of the folder: 2/8")
    )
    found.add_argument("--scheduler", metavar="ADDRESS", help=phrase("read by a Dask cluster"))
    found.set_defaults(act=_findings)

    joined = commands.add_parser(
        "join-tables", parents=[common], help=phrase("parts of a table to one")
    )
    joined.add_argument("parts", type=Path, nargs="+", metavar="PART")
    joined.add_argument("--out", type=Path, required=True, metavar="FILE")
    joined.set_defaults(act=_join_tables)


def _add_papers(commands: _Commands, common: _Parser, _window: _Parser) -> None:
    papers = commands.add_parser(
        "papers", parents=[common], help=phrase("a plan on paper, to take home")
    )
    papers.add_argument("plan", type=Path, help=phrase("a file that holds the plan"))
    papers.add_argument("--out", type=Path, required=True, metavar="DIR")
    papers.add_argument(
        "--for",
        dest="reader",
        choices=("person", "helper"),
        default="person",
        help=phrase("who reads it"),
    )
    papers.add_argument(
        "--paper", choices=("a4", "letter"), help=phrase("else as this machine prints")
    )
    papers.add_argument(
        "--weeks", type=int, metavar="N", help=phrase("weeks of blank days, else to the review")
    )
    papers.set_defaults(act=_papers)


_COMMANDS: dict[str, Callable[[_Commands, _Parser, _Parser], None]] = {
    **dict.fromkeys(("demo", "fill-demo"), _add_demos),
    **dict.fromkeys((_OPEN, "clinic"), _add_windows),
    **dict.fromkeys(("from-table", "blank-table"), _add_tables),
    **dict.fromkeys(("findings", "join-tables"), _add_findings),
    **dict.fromkeys(("verify", "export"), _add_files),
    "papers": _add_papers,
    **dict.fromkeys(("remind", "doctor"), _add_care),
    "picture": _add_pictures,
}
"""Each command, and what describes it."""


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(
            phrase("{text!r} is not a date such as 2026-03-09", text=text)
        ) from None
    if not YEARS[0] <= day.year <= YEARS[1]:
        raise argparse.ArgumentTypeError(
            phrase(
                "{text} is not between {first} and {last}", text=text, first=YEARS[0], last=YEARS[1]
            )
        )
    return day


def _shard(text: str) -> tuple[int, int]:
    number, _, of = text.partition("/")
    if number.isdecimal() and of.isdecimal() and 1 <= int(number) <= int(of):
        return int(number), int(of)
    raise argparse.ArgumentTypeError(phrase("{text!r} is not a part such as 2/8", text=text))


def _clock(options: argparse.Namespace) -> Clock:
    return SystemClock() if options.today is None else PinnedClock(options.today)


# ---------------------------------------------------------------- windows


def _needs_display() -> None:
    from companion.system.machine import has_display

    if not has_display():
        raise MachineFails(
            phrase(
                "There is no display here, so no window can open. "
                "homeknee demo NAME --out DIR works without one."
            )
        )


_BEFORE_THE_TOOLKIT = (
    *("services.settings", "services.unsettled", "wire.resource_reading"),
    *("system.places", "system.logs"),
)


def _make_ready(page: str = "presentation.home.front") -> None:
    """Before the windows are loaded: no collecting of garbage until the first page is painted (the
    window turns it on again), and the floors that know no toolkit, which are quicker before it."""
    gc.disable()
    for name in (page, *_BEFORE_THE_TOOLKIT):
        importlib.import_module(f"companion.{name}")
    _leave_sources_unread()


_STUB_WRITERS = ("signature/lib/enum_sig.py", "signature/lib/pyi_generator.py")


@contextlib.contextmanager
def _without_stub_writers() -> Iterator[None]:
    """The toolkit compiles its Python parts from their source at every start. Those that only write
    its stub files, a third of that work, are taken as empty: nothing else of it asks for them."""
    read = builtins.compile

    def compiled(source: object, filename: object, *rest: object, **more: object) -> object:
        writes_stubs = isinstance(filename, str) and filename.endswith(_STUB_WRITERS)
        return read("" if writes_stubs else source, filename, *rest, **more)  # type: ignore[call-overload]

    builtins.compile = compiled  # type: ignore[assignment]
    try:
        yield
    finally:
        builtins.compile = read


def _leave_sources_unread() -> None:
    """Once it is loaded, the toolkit reads the source of each module that is loaded after it and
    keeps it, to see whether the names of the toolkit stand in it: only a module that switches on
    what no module of ours does could tell the difference. Where it has no such switch, it reads on.
    """
    with _without_stub_writers():
        importlib.import_module("PySide6.QtCore")
    with contextlib.suppress(ImportError):
        feature = vars(importlib.import_module("shibokensupport.feature"))
        if "_mod_uses_pyside" in feature:
            feature["_mod_uses_pyside"] = lambda module: module.__name__.startswith("companion.")


def _home(options: argparse.Namespace) -> int:
    _needs_display()
    _make_ready()
    from companion.app.home_window import show_home

    return show_home(
        options.data_dir,
        _clock(options),
        language=options.language,
        quit_when_shown=options.quit_when_shown,
    )


def _open(options: argparse.Namespace) -> int:
    """A plan in Home. A diary at the clinic's desk where this machine has one and no diary of its
    own; else in Home, which says what it would add."""
    from companion.app.clinic_window import clinic_folder, show_clinic
    from companion.app.home_window import show_home
    from companion.exchange.files import read
    from companion.journal.backups import STORE
    from companion.system.folders import data_folder

    _needs_display()
    reading = read(options.file)
    if reading.value is None:
        raise Refused(said_words(reading.said))
    at_home = options.data_dir is not None or (data_folder() / STORE).exists()
    show: Callable[..., int] = show_home
    if reading.diary is not None and not at_home and clinic_folder(None).exists():
        show = show_clinic
    _make_ready()
    return show(
        options.data_dir,
        _clock(options),
        file=options.file,
        language=options.language,
        quit_when_shown=options.quit_when_shown,
    )


def _version(_options: argparse.Namespace) -> int:
    print(f"homeknee {__version__}")
    return DONE


def _fill_demo(options: argparse.Namespace) -> int:
    from companion.app.demo import fill_from

    fill_from(options.folder, options.diary, practice=options.practice)
    return DONE


def _doctor(options: argparse.Namespace) -> int:
    from companion.system.folders import data_folder
    from companion.system.machine import has_display

    shown = has_display()
    if not shown:
        _windowless()
    from companion.app.doctor import look

    return look(data_folder(options.folder), _clock(options), display=shown, as_json=options.json)


def _remind(options: argparse.Namespace) -> int:
    from threading import Event

    from companion.app.languages import follow_settings
    from companion.app.reminding import remind
    from companion.system.desktop_timer import show_message
    from companion.system.folders import data_folder

    def show(heading: str, sentence: str, presses: bool) -> None:
        if not show_message(heading, sentence, presses=presses):
            print(one_line(sentence))

    folder = data_folder(options.data_dir)
    while True:
        if options.language is None:
            follow_settings(folder)
        remind(folder, _clock(options), show)
        if not options.every:
            return DONE
        # Nothing is waited for here: a quarter of an hour is when to look again.
        Event().wait(options.every * 60)


def _clinic(options: argparse.Namespace) -> int:
    _needs_display()
    _make_ready("presentation.clinic.people")
    if options.open is not None:
        _make_ready("presentation.clinic.review")
    from companion.app.clinic_window import show_clinic

    return show_clinic(
        options.data_dir,
        _clock(options),
        code=options.open,
        file=options.file,
        language=options.language,
        quit_when_shown=options.quit_when_shown,
    )


def _demo(options: argparse.Namespace) -> int:
    from companion.app import demo

    names = demo.people()
    if options.name is None:
        if options.out or options.diary or options.data_dir or options.quit_when_shown:
            _say(phrase("homeknee demo: name whose diary to open; homeknee demo lists them."))
            return USAGE
        print("\n".join(names))
        return DONE
    if options.name not in names:
        raise Refused(
            phrase(
                "There is no demo person {name}. There are: {there}.",
                name=options.name,
                there=listed(names),
            )
        )
    if options.diary is not None and options.data_dir is None:
        _say(phrase("homeknee demo: --diary fills a --data-dir; name one."))
        return USAGE
    if options.out is not None:
        if options.data_dir is not None or options.quit_when_shown:
            _say(
                phrase(
                    "homeknee demo: --out opens no window; leave out --data-dir and"
                    " --quit-when-shown."
                )
            )
            return USAGE
        _windowless()
        demo.play(options.name, options.out, options.today)
        return DONE
    _needs_display()
    _make_ready()
    return demo.show(
        options.name,
        data_dir=options.data_dir,
        diary=options.diary,
        today=options.today,
        practice=options.practice,
        language=options.language,
        quit_when_shown=options.quit_when_shown,
    )


_WINDOWS = (_home, _clinic, _demo, _open)


def _windowless() -> None:
    """Painting needs the toolkit, but never a display."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"


# ---------------------------------------------------------------- files


def _picture(options: argparse.Namespace) -> int:
    from companion.paper.picture_files import write_pictures
    from companion.system.resources import resource
    from companion.wire.catalogue_reading import read_catalogue

    plan = _read_plan(options.plan)
    _windowless()
    write_pictures(plan, read_catalogue(resource()), options.out)
    return DONE


def _papers(options: argparse.Namespace) -> int:
    from companion.presentation.papers.home_sheets import MOST_WEEKS, weeks_until
    from companion.system.atomic import private_folder, write_whole
    from companion.system.resources import resource
    from companion.wire.catalogue_reading import read_catalogue

    diary, plan = _read_either(options.plan)
    today, catalogue = _clock(options).today(), read_catalogue(resource())
    weeks = weeks_until(plan, today) if options.weeks is None else options.weeks
    if not 1 <= weeks <= MOST_WEEKS:
        _say(phrase("homeknee papers: --weeks is a number from 1 to {most}.", most=MOST_WEEKS))
        return USAGE
    _windowless()
    from companion.app.open_on_paper import still_open_in
    from companion.paper.home_papers import home_papers
    from companion.paper.paper_size import on_letter_paper

    papers = home_papers(
        plan,
        catalogue,
        on=today,
        weeks=weeks,
        for_helper=options.reader == "helper",
        letter=on_letter_paper() if options.paper is None else options.paper == "letter",
        still_open=still_open_in(diary, plan, catalogue, today),
    )
    private_folder(options.out)
    for name, data in papers.items():
        write_whole(options.out / name, data)
    return DONE


def _read_plan(path: Path) -> Plan:
    """The plan in any file of ours. Raises Refused."""
    return _read_either(path)[1]


def _read_either(path: Path) -> tuple[Diary | None, Plan]:
    """What any file of ours holds: the diary, where it is one, and the plan. Raises Refused."""
    from companion.exchange.files import read

    reading = read(path)
    if reading.plan_in_force is None:
        raise Refused(said_words(reading.said))
    return reading.diary, reading.plan_in_force


def _blank_table(options: argparse.Namespace) -> int:
    from companion.exchange.table import blank_table
    from companion.system.atomic import write_whole

    plan = _read_plan(options.plan)
    write_whole(options.out, blank_table(plan, _clock(options).today()).encode())
    return DONE


def _from_table(options: argparse.Namespace) -> int:
    from companion.care.records import Diary
    from companion.exchange.files import write_diary
    from companion.exchange.table import read_table
    from companion.presentation.papers.day_form import form_headings

    plan = _read_plan(options.plan)
    try:
        data = options.table.read_bytes()
    except FileNotFoundError:
        raise Refused(
            phrase("There is no file {name}. Nothing was written.", name=options.table)
        ) from None
    reading = read_table(
        data,
        plan,
        _clock(options).now(),
        month_first=options.month_first,
        headings=form_headings(plan),
    )
    for fault in reading.faults:
        _say(said_words(fault.said))
    if reading.faults and not options.skip_bad:
        return REFUSED
    write_diary(options.out, Diary(plans=(plan,), entries=reading.entries))
    return DONE


def _findings(options: argparse.Namespace) -> int:
    if options.table is not None:
        if options.json or options.side:
            _say(
                phrase("homeknee findings: --table holds every side; leave out --json and --side.")
            )
            return USAGE
        return _findings_table(options)
    if options.shard or options.scheduler:
        _say(phrase("homeknee findings: --shard and --scheduler go with --table FILE."))
        return USAGE
    if options.source.is_dir():
        raise Refused(
            phrase(
                "{name} is a folder. Add --table OUT.csv, or name one diary.", name=options.source
            )
        )
    from companion.evidence.findings import findings
    from companion.presentation.papers.findings_words import findings_words
    from companion.services.export import findings_json
    from companion.wire.resource_reading import shipped_policy

    # The JSON is the diary's own, so it is the same on any day.
    read_on = options.today if options.json else _clock(options).today()
    diary = _read_diary(options.source, read_on)
    try:
        found = findings(diary, options.side, policy=shipped_policy(), read_on=read_on)
    except KnownFault as refused:
        raise Refused(said_words(refused.said)) from None
    if options.json:
        print(findings_json(found, said_words), end="")
    else:
        from companion.system.resources import resource
        from companion.wire.catalogue_reading import read_catalogue

        print(shown("\n".join(findings_words(diary, found, read_catalogue(resource())))))
    return DONE


def _read_diary(path: Path, today: date | None = None) -> Diary:
    from companion.exchange.files import read

    reading = read(path, today=today)
    if reading.state != "whole":
        raise Refused(said_words(reading.said))
    if reading.diary is None:
        raise Refused(phrase("{name} is a plan, not a diary. Give the diary file.", name=path.name))
    return reading.diary


def _findings_table(options: argparse.Namespace) -> int:
    from companion.exchange.findings_table import (
        Row,
        part_of,
        rows_of_files,
        write_rows,
    )

    folder, out = options.source, options.table
    if not folder.is_dir():
        raise Refused(
            phrase("{name} is not a folder. --table reads a folder of diary files.", name=folder)
        )
    place = out.resolve()
    paths = sorted(path for path in folder.iterdir() if path.is_file() and path.resolve() != place)
    if options.shard is not None:
        paths = list(part_of(paths, *options.shard))

    def submitted() -> Iterator[FileRows]:
        if options.scheduler is None:
            return rows_of_files(paths, rows_of_one)
        from companion.exchange.findings_cluster import rows_on_cluster

        return rows_on_cluster([path.resolve() for path in paths], rows_of_one, options.scheduler)

    def rows() -> Iterator[Row]:
        for one in submitted():
            if one.fault is not None:
                _say(said_words(one.fault))
            yield from one.rows

    with _extras():
        write_rows(out, rows())
    return DONE


def _join_tables(options: argparse.Namespace) -> int:
    from companion.exchange.findings_table import join

    with _extras():
        join(options.out, options.parts)
    return DONE


@contextlib.contextmanager
def _extras() -> Iterator[None]:
    """What is installed on wish alone may not be there."""
    extras = {"pyarrow": "parquet", "distributed": "cluster"}
    try:
        yield
    except ModuleNotFoundError as missing:
        extra = extras.get((missing.name or "").partition(".")[0])
        if extra is None:
            raise
        raise Refused(
            phrase(
                "This needs the extra {extra}: pip install 'home-knee-companion[{extra}]'.",
                extra=extra,
            )
        ) from None


def rows_of_one(path: Path) -> FileRows:
    """The rows of one diary for --table; a bug ends with its file. Called in other processes."""
    from companion.exchange.findings_table import FileRows, rows_of_file
    from companion.exchange.table_cells import shown

    try:
        return rows_of_file(path)
    except Exception as bug:  # noqa: BLE001 - one bad file never stops the rest
        _log(bug)
        return FileRows(fault=coded("program_at_fault", name=shown(path.name)))


def _verify(options: argparse.Namespace) -> int:
    from companion.exchange.files import read

    reading = read(options.file)
    if reading.state != "whole":
        raise Refused(said_words(reading.said))
    print(one_line(said_words(reading.said)))
    return DONE


def _export(options: argparse.Namespace) -> int:
    from companion.services.export import OneFile, in_format

    formats: tuple[OneFile, ...] = ("fhir", "csv", "ics")
    wanted = [(path, each) for each in formats if (path := getattr(options, each)) is not None]
    if not wanted:
        _say(phrase("homeknee export: say what to write: --fhir FILE, --csv FILE, --ics FILE."))
        return USAGE
    if options.snomed and options.fhir is None:
        _say(phrase("homeknee export: --snomed goes with --fhir FILE."))
        return USAGE
    places = [path.resolve() for path in (options.diary, *(path for path, _ in wanted))]
    if len(set(places)) < len(places):
        _say(phrase("homeknee export: give each file a name of its own, and not the diary's."))
        return USAGE
    from companion.system.atomic import write_whole

    diary = _read_diary(options.diary)
    # All are made before the first is written: a fault in one leaves none behind.
    for path, data in [
        (path, in_format(diary, each, said_words, snomed=options.snomed)) for path, each in wanted
    ]:
        write_whole(path, data)
    return DONE
