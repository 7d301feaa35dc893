"""Where the data of this program live on a machine."""

from pathlib import Path

# Data paths hang on these two words: they are frozen for ever.
APP_NAME = "homeknee"
APP_AUTHOR = "homeknee"


def data_folder(override: Path | None = None) -> Path:
    """The folder of the person's data, or `override` when given. It need not exist yet."""
    if override is not None:
        return override.expanduser().absolute()
    import appdirs  # the only place that imports it

    return _absolute(appdirs.user_data_dir(APP_NAME, APP_AUTHOR), "share")


def config_folder() -> Path:
    """The folder of what is remembered of the diaries on this machine, none of them in it."""
    import appdirs

    return _absolute(appdirs.user_config_dir(APP_NAME, APP_AUTHOR), "state") / "diaries"


def _absolute(found: str, kind: str) -> Path:
    """The folder; where the environment names none that is absolute, the usual one.

    "All paths set in these environment variables must be absolute. If an implementation encounters
    a relative path [...] it should consider the path invalid and ignore it." (XDG Base Directory
    Specification 0.8, "Basics"; read)
    """
    path = Path(found)
    return path if path.is_absolute() else Path.home() / ".local" / kind / APP_NAME
