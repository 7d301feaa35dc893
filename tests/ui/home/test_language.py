"""The language is chosen in the window, and everything follows at once."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QLocale, Qt
from PySide6.QtWidgets import QAbstractButton, QApplication

from companion.app import commands, looks
from companion.app.home_window import HomeProgram
from companion.app.languages import follow, follow_settings, offered
from companion.app.looks import Looks
from companion.app.outside import cannot_be_opened
from companion.presentation.home.open_lines import Door
from companion.presentation.home.settings_pages import about_view
from companion.presentation.language.phrases import phrase, spoken
from companion.services.settings import ENGLISH, OF_COMPUTER, Language, Settings, language_of
from companion.system import resources
from companion.system.machine import desktop_languages
from companion.system.resources import COMPILED
from companion.ui.clinic.people_page import PeoplePage
from companion.ui.home.front_page import FrontPage
from companion.ui.kit.asking import AskingPage
from companion.ui.kit.window import PageWindow
from tests.builders import DAY
from tests.care.walking import CATALOGUE
from tests.journal.made import SetClock
from tests.languages.invented import TAG, as_before, offer
from tests.presentation.wording import lines
from tests.tour_clinic import Desk
from tests.tour_visit import settle

MARK = "Nulu klinu legu."


@pytest.fixture
def there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qapp: QApplication) -> Iterator[Path]:
    """A folder of languages of our own, English afterwards."""
    own = resources.resource
    place = tmp_path / "languages"
    monkeypatch.setattr(
        resources,
        "resource",
        lambda *parts: place.joinpath(*parts[1:]) if parts[:1] == ("languages",) else own(*parts),
    )
    monkeypatch.setattr(looks, "whole_languages", resources.whole_languages)
    held = QLocale()
    with as_before():
        yield place
    QLocale.setDefault(held)
    qapp.setLayoutDirection(Qt.LayoutDirection.LeftToRight)


class _AtHome:
    """Home as the command runs it, on a computer that is new or was set before."""

    def __init__(
        self, window: PageWindow, folder: Path, qapp: QApplication, language: str | None = None
    ) -> None:
        self.window, self.looks = window, Looks(qapp, folder, language)
        self.program = HomeProgram(window, folder, SetClock(DAY), self.looks)
        self.program.begin(accompanied=False)

    @property
    def page(self) -> AskingPage:
        page = self.window.page()
        assert isinstance(page, AskingPage)
        return page

    @property
    def front(self) -> str:
        page = self.window.page()
        assert isinstance(page, FrontPage)
        return page.view.heading

    def answer(self, **given: object) -> None:
        self.page.submitted.emit(given)

    def settings(self) -> str:
        assert self.program.home is not None
        self.program.home.open(_door(self.window))
        return " ".join(lines(self.page.view))

    def end(self) -> None:
        self.program.end()
        settle()


def _door(window: PageWindow) -> Door:
    page = window.page()
    assert isinstance(page, FrontPage)
    return next(door for door in page.view.doors if door.name == "settings")


def test_it_is_asked_once_and_changes_every_page_at_once(
    window: PageWindow, tmp_path: Path, there: Path, qapp: QApplication
) -> None:
    offer(there)
    folder = tmp_path / "diary"
    home = _AtHome(window, folder, qapp)
    assert home.page.view.key == "first_language"
    said = lines(home.page.view)
    assert {"English", "Esperanto", MARK} <= set(said)
    home.answer(language=TAG)
    assert home.front == "Komu plunu"
    assert QLocale() == QLocale(TAG)
    words = home.settings()
    assert "Sutu helu" in words
    assert "Lungu" in words
    assert "Tekstu kolru" in words
    assert home.program.home is not None
    assert MARK in lines(about_view(CATALOGUE, None))
    home.answer(room="language")
    assert MARK in lines(home.page.view)
    home.answer(language=ENGLISH)
    assert home.page.view.heading == "Settings and help"
    home.program.home.show_front()
    assert home.front == "Begin with your plan"
    assert QLocale() == QLocale(ENGLISH)
    assert MARK not in lines(about_view(CATALOGUE, None))
    home.end()
    assert json.loads((folder / "settings.json").read_bytes())["language"] == ENGLISH
    again = _AtHome(window, folder, qapp)
    assert again.front == "Begin with your plan"  # it is not asked again
    again.end()


def test_where_english_is_alone_nothing_is_asked_or_offered(
    window: PageWindow, tmp_path: Path, there: Path, qapp: QApplication
) -> None:
    offer(there, whole=False)  # begun, and offered to nobody
    home = _AtHome(window, tmp_path / "diary", qapp)
    assert home.front == "Begin with your plan"
    assert "Language" not in home.settings()
    assert [each.tag for each in offered()] == [ENGLISH]
    home.end()


def test_old_settings_follow_the_desktop_and_the_command_goes_before_them(
    tmp_path: Path, there: Path, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    offer(there)
    (tmp_path / "settings.json").write_text('{"text_percent": 150}')
    monkeypatch.delenv("LANGUAGE")
    monkeypatch.setenv("LC_ALL", "eo_XX.UTF-8")
    used = Looks(qapp, tmp_path)
    assert (spoken(), used.settings.text_percent) == (TAG, 150)
    assert not used.asks_language()
    assert Looks(qapp, tmp_path, ENGLISH).settings.language == OF_COMPUTER
    follow(ENGLISH)
    used = Looks(qapp, tmp_path, TAG)
    assert spoken() == TAG
    used.use(Settings(language=ENGLISH))  # what is chosen in the window counts from there on
    assert spoken() == ENGLISH
    follow_settings(tmp_path)
    assert spoken() == ENGLISH


def test_a_catalogue_that_cannot_be_read_keeps_nobody_out(
    tmp_path: Path, there: Path, qapp: QApplication
) -> None:
    offer(there)
    (there / TAG / COMPILED).write_bytes(b"no catalogue at all")
    (tmp_path / "settings.json").write_text(f'{{"language": "{TAG}"}}')
    Looks(qapp, tmp_path)
    assert spoken() == ENGLISH
    assert phrase("Language") == "Language"
    (there / TAG / "forms.json").write_bytes(b"{")
    assert [each.tag for each in offered()] == [ENGLISH]


def test_what_cannot_be_opened_is_told_in_the_language_that_is_set(
    window: PageWindow, tmp_path: Path, there: Path, qapp: QApplication
) -> None:
    offer(there)
    (tmp_path / "settings.json").write_text(f'{{"language": "{TAG}"}}')
    Looks(qapp, tmp_path)
    cannot_be_opened(window, "", window.close)
    page = window.page()
    assert isinstance(page, AskingPage)
    assert page.view.heading == "Durnu ne ovu"


def test_the_language_of_the_command_reaches_the_window(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[object] = []

    def shown(*_given: object, language: str | None, **_named: object) -> int:
        told.append(language)
        return 0

    for name in ("home_window.show_home", "clinic_window.show_clinic"):
        monkeypatch.setattr(f"companion.app.{name}", shown)
    with as_before():
        for command in ([], ["clinic"], ["demo", "edda"]):
            assert commands.run(["--language", ENGLISH, *command]) == 0
    assert told == [ENGLISH] * 3


def test_the_clinic_chooses_it_from_its_list(window: PageWindow, tmp_path: Path) -> None:
    desk = Desk(tmp_path, window)
    desk.clinic.show_people()
    page = window.page()
    assert isinstance(page, PeoplePage)
    assert not _says(page, "Language")
    desk.languages = (Language(tag=ENGLISH, name="English"), Language(tag=TAG, name="Esperanto"))
    desk.clinic.show_people()
    page = window.page()
    assert isinstance(page, PeoplePage)
    assert _says(page, "Language")
    page.way_chosen.emit("language")
    asked = window.page()
    assert isinstance(asked, AskingPage)
    assert {"English", "Esperanto"} <= set(lines(asked.view))
    asked.submitted.emit({"language": TAG})
    assert desk.clinic.doorways.settings().language == TAG
    assert isinstance(window.page(), PeoplePage)
    desk.practice.people.close()


def _says(page: PeoplePage, name: str) -> bool:
    return name in [button.accessibleName() or button.text() for button in _buttons(page)]


def _buttons(page: PeoplePage) -> list[QAbstractButton]:
    return page.findChildren(QAbstractButton)


def test_a_start_in_english_loads_nothing_of_other_languages(
    tmp_path: Path, there: Path, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    offer(there)
    for name in (
        "gettext",
        "companion.app.languages",
        "companion.presentation.language.translated",
    ):
        monkeypatch.setitem(sys.modules, name, None)  # loading it would raise ImportError
    for environment in ("C.UTF-8", "en_GB.UTF-8"):
        monkeypatch.setenv("LC_ALL", environment)
        assert Looks(qapp, tmp_path).asks_language()
    assert spoken() == ENGLISH


@pytest.mark.parametrize(
    ("environment", "tags"),
    [
        ({}, ()),
        ({"LANG": "C.UTF-8", "LANGUAGE": "de"}, ()),
        ({"LANG": "de_CH.UTF-8"}, ("de-CH",)),
        ({"LANG": "en_US.UTF-8", "LC_ALL": "fr_FR@euro", "LC_MESSAGES": "de"}, ("fr-FR",)),
        ({"LANG": "fr_FR", "LANGUAGE": "pt_BR:de"}, ("pt-BR", "de", "fr-FR")),
    ],
)
def test_the_languages_of_a_desktop(environment: dict[str, str], tags: tuple[str, ...]) -> None:
    """GNU gettext manual, "Specifying a Priority List of Languages"; POSIX.1-2017, chapter 8.2."""
    assert desktop_languages(environment) == tags


def test_the_language_that_is_meant() -> None:
    def whole() -> set[str]:
        return {"de", "pt-BR"}

    assert language_of("de", ("fr",), whole) == "de"
    assert language_of("xx", ("fr", "de-AT"), whole) == "de"
    assert language_of(OF_COMPUTER, ("fr-FR", "pt-PT", "de"), whole) == "pt-BR"
    assert language_of(OF_COMPUTER, ("en-GB", "de"), whole) == ENGLISH
    assert language_of(OF_COMPUTER, (), whole) == ENGLISH
