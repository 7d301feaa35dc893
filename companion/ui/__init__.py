"""Screens and what they are built from."""
