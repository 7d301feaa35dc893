"""Data that come with the program: beside the package in a checkout, inside it in a wheel."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent.parent
_IN_WHEEL = _PACKAGE / "_data"
COMPILED = "homeknee.mo"
"""A catalogue, compiled once it is whole."""


def _top() -> Path:
    return _IN_WHEEL if _IN_WHEEL.is_dir() else _PACKAGE.parent


def resource(*parts: str) -> Path:
    """The path of a file or folder under `resources/`."""
    return _top().joinpath("resources", *parts)


def whole_languages() -> dict[str, Path]:
    """The folder of each language besides English whose catalogue is whole, by its tag."""
    found = resource("languages").glob(f"*/{COMPILED}")
    return {path.parent.name: path.parent for path in sorted(found)}


def demo_profiles() -> Path:
    """The folder of the invented people."""
    return _top() / "demo_profiles"
