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

    return Path(appdirs.user_data_dir(APP_NAME, APP_AUTHOR))
