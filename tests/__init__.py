"""Tests of the home knee companion; the folders mirror the package."""
