"""Where the two windows and the commands are wired together."""
