"""The screens of the person at home."""
