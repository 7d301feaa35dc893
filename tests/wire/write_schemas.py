"""Write the JSON Schemas of plan and diary anew: `python -m tests.wire.write_schemas`."""

import json
from pathlib import Path

from companion.system.resources import resource
from companion.wire.strict import json_schemas


def schema_text(schema: dict[str, object]) -> str:
    """The text of a schema file."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def write(folder: Path) -> None:
    """Write each schema into `folder`."""
    for name, schema in json_schemas().items():
        (folder / name).write_text(schema_text(schema), encoding="utf-8")


if __name__ == "__main__":
    write(resource("schemas"))
