"""The lock: whole, hashed, at home nowhere, and in step with pyproject.toml."""

from __future__ import annotations

import re
import tomllib

import pytest
from packaging.markers import Marker
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.ground.checkout import ROOT, load_run

LOCK_TEXT = (ROOT / "requirements.lock").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SECTIONS = load_run().lock_sections(LOCK_TEXT)
MACHINES = [
    {"python_version": version, "python_full_version": f"{version}.2", "sys_platform": platform,
     "platform_system": system, "os_name": "nt" if platform == "win32" else "posix", "extra": ""}
    for version in ("3.11", "3.12", "3.13", "3.14")
    for platform, system in (("linux", "Linux"), ("darwin", "Darwin"), ("win32", "Windows"))
]  # fmt: skip


def pins(section: str) -> list[tuple[Requirement, list[str]]]:
    """Return each requirement of a section with its hashes."""
    joined = SECTIONS[section].replace("\\\n", " ")
    found = []
    for line in filter(str.strip, joined.splitlines()):
        requirement, *hashes = re.split(r"\s+--hash=", line.strip())
        found.append((Requirement(requirement), hashes))
    return found


def applies(requirement: Requirement, machine: dict[str, str]) -> bool:
    """Say whether the marker of a requirement, if any, holds on a machine."""
    return requirement.marker is None or Marker(str(requirement.marker)).evaluate(machine)


def test_the_lock_names_no_index_host_or_path() -> None:
    """Whoever installs chooses where files come from; a hex digest cannot hide a place."""
    bare = re.sub(r"--hash=sha256:[0-9a-f]{64}\b", "", LOCK_TEXT)
    assert "://" not in bare
    assert "/" not in bare
    assert not re.search(r"index|find-links|trusted|@|file:|\.whl|\.com|\.org", bare)


@pytest.mark.parametrize("section", ["run", "test", "build"])
def test_every_requirement_is_pinned_exactly_and_hashed(section: str) -> None:
    """One `==` version and at least one SHA-256 each, as pip's hash-checking mode demands."""
    found = pins(section)
    assert len(found) > (10 if section != "build" else 2)
    for requirement, hashes in found:
        assert re.fullmatch(r"==[0-9][0-9a-z.]*", str(requirement.specifier)), requirement
        assert requirement.url is None
        assert hashes, requirement
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", one) for one in hashes), requirement


def test_no_requirement_stands_in_a_section_beside_run() -> None:
    """Those of the tools may share some: of one release."""
    run = {str(requirement) for requirement, _ in pins("run")}
    tools = {name: {r.name: str(r) for r, _ in pins(name)} for name in ("test", "build")}
    for of in tools.values():
        assert not run & set(of.values())
    for name in set(tools["test"]) & set(tools["build"]):
        assert tools["test"][name] == tools["build"][name]


@pytest.mark.parametrize("machine", MACHINES, ids=lambda m: f"{m['python_version']}-{m['os_name']}")
def test_the_lock_answers_every_dependency_exactly_once(machine: dict[str, str]) -> None:
    """On each Python and platform one pin, within the range that pyproject.toml gives."""
    run = PROJECT["project"]["dependencies"] + PROJECT["build-system"]["requires"]
    test = PROJECT["project"]["optional-dependencies"]["test"]
    asked = [("run", Requirement(text)) for text in run]
    asked += [("test", Requirement(text)) for text in test]
    build = PROJECT["project"]["optional-dependencies"]["build"]
    asked += [("build", Requirement(text)) for text in build]
    for section, wanted in asked:
        if not applies(wanted, machine):
            continue
        versions = [
            str(pin.specifier).removeprefix("==")
            for pin, _ in pins(section)
            if canonicalize_name(pin.name) == canonicalize_name(wanted.name)
            and applies(pin, machine)
        ]
        assert len(versions) == 1, wanted
        assert wanted.specifier.contains(versions[0]), wanted


def test_the_qt_release_that_aborts_on_python_311_is_never_chosen_there() -> None:
    """PySide6 6.12.0 on Python 3.11 aborts after some dozens of chart redraws (measured)."""
    old = MACHINES[0]
    qt = [pin for pin, _ in pins("run") if pin.name in ("pyside6-essentials", "shiboken6")]
    chosen = {pin.name: str(pin.specifier) for pin in qt if applies(pin, old)}
    assert chosen == {"pyside6-essentials": "==6.11.3", "shiboken6": "==6.11.3"}


def test_the_speech_extra_has_the_pins_of_the_window_library() -> None:
    """Essentials and Addons are two halves of one release."""
    essentials = [
        text.removeprefix("PySide6-Essentials")
        for text in PROJECT["project"]["dependencies"]
        if text.startswith("PySide6")
    ]
    speech = PROJECT["project"]["optional-dependencies"]["speech"]
    assert [text.removeprefix("PySide6-Addons") for text in speech] == essentials
