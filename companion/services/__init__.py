"""Use cases: each returns its result and which kinds of thing changed; no Qt."""
