"""The authoring side of other languages: `python -m tests.languages merge`, and what is beside."""
