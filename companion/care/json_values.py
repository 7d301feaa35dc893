"""JSON as Python holds it: what `json.loads` gives and `json.dumps` takes."""

from collections.abc import Mapping, Sequence

JsonValue = bool | int | float | str | Sequence["JsonValue"] | Mapping[str, "JsonValue"] | None
JsonObject = dict[str, JsonValue]
