"""The commands. Each is a few lines: read, call, write, and one plain sentence when refused."""

from __future__ import annotations

import argparse
import contextlib
import gc
import importlib
import os
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from companion.app.exits import DONE, MACHINE, REFUSED, USAGE, MachineFails, Refused
from companion.care.coded import KnownFault, coded
from companion.care.ranges import YEARS
from companion.presentation.language.said import said_words
from companion.system.clock import Clock, PinnedClock, SystemClock

if TYPE_CHECKING:
    from companion.care.records import Diary, Plan
    from companion.exchange.findings_table import FileRows


_LONGEST_LINE = 600


def run(arguments: Sequence[str]) -> int:
    """Run one command; its exit code."""
    parser = _parser()
    options = parser.parse_args(arguments, _unsaid())
    act: Callable[[argparse.Namespace], int] = options.act
    if act not in _WINDOWS and (options.data_dir is not None or options.quit_when_shown):
        parser.error("only a window takes --data-dir and --quit-when-shown")
    try:
        return act(options)
    except Refused as refused:
        _say(str(refused))
        return REFUSED
    except MachineFails as fault:
        _say(str(fault))
        return MACHINE
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except OSError as fault:
        where = fault.filename or "this machine"
        _say(f"The machine refused at {where}: {(fault.strerror or 'unknown trouble').lower()}.")
        return MACHINE
    except KeyboardInterrupt:
        _say("Stopped.")
        return MACHINE
    except Exception as bug:  # noqa: BLE001 - the one place where every bug ends
        _log(bug, options.data_dir)
        _say("The program itself is at fault here. What was saved before is safe.")
        return MACHINE


def _log(bug: Exception, data_dir: Path | None = None) -> None:
    """Keep the places a bug passed through, for whoever repairs the program."""
    from companion.system.folders import data_folder
    from companion.system.logs import PrivateLog

    folder = data_folder(data_dir)
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    PrivateLog(folder, SystemClock()).fault("command", bug)


def _say(sentence: str) -> None:
    print(one_line(sentence), file=sys.stderr)


def one_line(sentence: str) -> str:
    """A sentence for a terminal. A name or a key in it may hold whatever a file may hold: nothing
    in it clears the screen, turns the line round or runs on without end."""
    line = " ".join(sentence.split())
    clean = "".join(letter if letter.isprintable() else "?" for letter in line)
    return clean if len(clean) <= _LONGEST_LINE else clean[: _LONGEST_LINE - 3] + "..."


# ---------------------------------------------------------------- the words of the command line


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        self.exit(USAGE, f"{self.prog}: {message}. Say {self.prog} --help for what it takes.\n")


def _common() -> _Parser:
    """What stands before the command and after it. No default here: that of the parser after the
    command would undo what was said before it. The defaults stand once, in `_unsaid`."""
    common = _Parser(add_help=False, argument_default=argparse.SUPPRESS)
    common.add_argument("--today", type=_day, metavar="DATE", help="pin today, 2026-03-09")
    return common


def _window() -> _Parser:
    """The same for what opens a window."""
    window = _Parser(add_help=False, argument_default=argparse.SUPPRESS, parents=[_common()])
    window.add_argument("--data-dir", type=Path, metavar="DIR", help="keep the data there")
    window.add_argument("--quit-when-shown", action="store_true", help=argparse.SUPPRESS)
    return window


def _unsaid() -> argparse.Namespace:
    """What holds of `_common` and `_window` where nothing was said."""
    return argparse.Namespace(today=None, data_dir=None, quit_when_shown=False)


def _parser() -> argparse.ArgumentParser:
    common, window = _common(), _window()
    parser = _Parser(
        prog="homeknee",
        parents=[window],
        description="The home knee companion: the routine that was prescribed, and its diary.",
    )
    parser.set_defaults(act=_home)
    parser.add_argument(
        "--version", action="store_const", dest="act", const=_version, help="say which version"
    )
    commands = parser.add_subparsers(metavar="COMMAND", parser_class=_Parser)

    demo = commands.add_parser("demo", parents=[window], help="look round with an invented person")
    demo.add_argument("name", nargs="?", help="whose diary; without it, the people are listed")
    demo.add_argument("--out", type=Path, metavar="DIR", help="write everything there, no window")
    demo.add_argument("--diary", type=Path, metavar="FILE", help="fill an empty --data-dir from it")
    demo.add_argument("--practice", action="store_true", help="with a plan that nobody signed")
    demo.set_defaults(act=_demo)

    clinic = commands.add_parser("clinic", parents=[window], help="the clinic's desk")
    clinic.add_argument("--open", metavar="CODE", help="go straight to the diary of that code")
    clinic.set_defaults(act=_clinic)

    table = commands.add_parser("from-table", parents=[common], help="a table to a diary file")
    table.add_argument("table", type=Path, metavar="CSV")
    table.add_argument("--plan", type=Path, required=True, help="a file that holds the plan")
    table.add_argument("--out", type=Path, required=True, metavar="DIARY")
    table.add_argument("--skip-bad", action="store_true", help="leave out rows with a fault")
    table.set_defaults(act=_from_table)

    found = commands.add_parser("findings", parents=[common], help="what a diary shows")
    found.add_argument("source", type=Path, metavar="DIARY|FOLDER")
    found.add_argument("--json", action="store_true", help="one JSON object")
    found.add_argument("--side", choices=("left", "right"))
    found.add_argument("--table", type=Path, metavar="CSV", help="one row a diary of a folder")
    found.set_defaults(act=_findings)

    verify = commands.add_parser("verify", parents=[common], help="is a file whole and readable")
    verify.add_argument("file", type=Path)
    verify.set_defaults(act=_verify)

    export = commands.add_parser(
        "export",
        parents=[common],
        help="a diary in open formats",
        epilog="The codes in a FHIR bundle belong to others: see resources/notices.txt.",
    )
    export.add_argument("diary", type=Path)
    export.add_argument("--fhir", type=Path, metavar="FILE", help="an HL7 FHIR R4 bundle")
    export.add_argument(
        "--snomed",
        action="store_true",
        help="SNOMED CT codes in the bundle: only where you or your country are licensed",
    )
    export.add_argument("--csv", type=Path, metavar="FILE", help="the table")
    export.add_argument("--ics", type=Path, metavar="FILE", help="what is to come, as a calendar")
    export.set_defaults(act=_export)
    picture = commands.add_parser("picture", parents=[common], help="the pictures of a plan")
    picture.add_argument("plan", type=Path, help="a file that holds the plan")
    picture.add_argument("--out", type=Path, required=True, metavar="DIR")
    picture.set_defaults(act=_picture)
    return parser


def _day(text: str) -> date:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date such as 2026-03-09") from None
    if not YEARS[0] <= day.year <= YEARS[1]:
        raise argparse.ArgumentTypeError(f"{text} is not between {YEARS[0]} and {YEARS[1]}")
    return day


def _clock(options: argparse.Namespace) -> Clock:
    return SystemClock() if options.today is None else PinnedClock(options.today)


# ---------------------------------------------------------------- windows


def _needs_display() -> None:
    if not any(os.environ.get(n) for n in ("QT_QPA_PLATFORM", "WAYLAND_DISPLAY", "DISPLAY")):
        if sys.platform in ("win32", "darwin"):
            return
        raise MachineFails(
            "There is no display here, so no window can open. "
            "homeknee demo NAME --out DIR works without one."
        )


def _make_ready(page: str = "presentation.home.front") -> None:
    """Before the toolkit is loaded: no collecting of garbage until the first page is painted
    (the window turns it on again), and the floors that know no toolkit, because once it is
    loaded every import costs a look into the module's source."""
    gc.disable()
    importlib.import_module(f"companion.{page}")
    importlib.import_module("companion.services.settings")


def _home(options: argparse.Namespace) -> int:
    _needs_display()
    _make_ready()
    from companion.app.home_window import show_home

    return show_home(options.data_dir, _clock(options), quit_when_shown=options.quit_when_shown)


def _version(_options: argparse.Namespace) -> int:
    from importlib.metadata import version

    print(f"homeknee {version('home-knee-companion')}")
    return DONE


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
        quit_when_shown=options.quit_when_shown,
    )


def _demo(options: argparse.Namespace) -> int:
    from companion.app import demo

    names = demo.people()
    if options.name is None:
        if options.out or options.diary or options.data_dir or options.quit_when_shown:
            _say("homeknee demo: name whose diary to open; homeknee demo lists them.")
            return USAGE
        print("\n".join(names))
        return DONE
    if options.name not in names:
        raise Refused(f"There is no demo person {options.name}. There are: {', '.join(names)}.")
    if options.diary is not None and options.data_dir is None:
        _say("homeknee demo: --diary fills a --data-dir; name one.")
        return USAGE
    if options.out is not None:
        if options.data_dir is not None or options.quit_when_shown:
            _say(
                "homeknee demo: --out opens no window; leave out --data-dir and --quit-when-shown."
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
        quit_when_shown=options.quit_when_shown,
    )


_WINDOWS = (_home, _clinic, _demo)


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


def _read_plan(path: Path) -> Plan:
    """The plan in any file of ours. Raises Refused."""
    from companion.exchange.files import read

    reading = read(path)
    if reading.plan_in_force is None:
        raise Refused(said_words(reading.said))
    return reading.plan_in_force


def _from_table(options: argparse.Namespace) -> int:
    from companion.care.records import Diary
    from companion.exchange.files import write_diary
    from companion.exchange.table import read_table

    plan = _read_plan(options.plan)
    try:
        data = options.table.read_bytes()
    except FileNotFoundError:
        raise Refused(f"There is no file {options.table}. Nothing was written.") from None
    reading = read_table(data, plan, _clock(options).now())
    for fault in reading.faults:
        _say(said_words(fault.said))
    if reading.faults and not options.skip_bad:
        return REFUSED
    write_diary(options.out, Diary(plans=(plan,), entries=reading.entries))
    return DONE


def _findings(options: argparse.Namespace) -> int:
    if options.table is not None:
        if options.json or options.side:
            _say("homeknee findings: --table holds every side; leave out --json and --side.")
            return USAGE
        return _findings_table(options.source, options.table)
    if options.source.is_dir():
        raise Refused(f"{options.source} is a folder. Add --table OUT.csv, or name one diary.")
    from companion.evidence.findings import findings
    from companion.presentation.papers.findings_words import findings_words
    from companion.services.export import findings_json
    from companion.wire.resource_reading import shipped_policy

    diary = _read_diary(options.source)
    try:
        # The JSON is the diary's own, so it is the same on any day.
        read_on = options.today if options.json else _clock(options).today()
        found = findings(diary, options.side, policy=shipped_policy(), read_on=read_on)
    except KnownFault as refused:
        raise Refused(said_words(refused.said)) from None
    if options.json:
        print(findings_json(found, said_words), end="")
    else:
        from companion.system.resources import resource
        from companion.wire.catalogue_reading import read_catalogue

        print("\n".join(findings_words(diary, found, read_catalogue(resource()))))
    return DONE


def _read_diary(path: Path) -> Diary:
    from companion.exchange.files import read

    reading = read(path)
    if reading.state != "whole":
        raise Refused(said_words(reading.said))
    if reading.diary is None:
        raise Refused(f"{path.name} is a plan, not a diary. Give the diary file.")
    return reading.diary


def _findings_table(folder: Path, out: Path) -> int:
    from companion.exchange.findings_table import Row, rows_of_files, table_text
    from companion.system.atomic import write_whole

    if not folder.is_dir():
        raise Refused(f"{folder} is not a folder. --table reads a folder of diary files.")
    place = out.resolve()
    paths = sorted(path for path in folder.iterdir() if path.is_file() and path.resolve() != place)
    rows: list[Row] = []
    for given in rows_of_files(paths, rows_of_one):
        if given.fault is not None:
            _say(said_words(given.fault))
        rows += given.rows
    write_whole(out, table_text(rows).encode())
    return DONE


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
        _say("homeknee export: say what to write: --fhir FILE, --csv FILE, --ics FILE.")
        return USAGE
    if options.snomed and options.fhir is None:
        _say("homeknee export: --snomed goes with --fhir FILE.")
        return USAGE
    places = [path.resolve() for path in (options.diary, *(path for path, _ in wanted))]
    if len(set(places)) < len(places):
        _say("homeknee export: give each file a name of its own, and not the diary's.")
        return USAGE
    from companion.system.atomic import write_whole

    diary = _read_diary(options.diary)
    # All are made before the first is written: a fault in one leaves none behind.
    for path, data in [
        (path, in_format(diary, each, said_words, snomed=options.snomed)) for path, each in wanted
    ]:
        write_whole(path, data)
    return DONE
