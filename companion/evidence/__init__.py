"""Findings and their statistics, computed from a diary alone; pure."""
