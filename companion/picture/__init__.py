"""Pictures of a knee, hands and tape as geometry in millimetres. Pure: no Qt, no files."""
