"""Tests of the pictures: geometry, tape, hands, whole drawings."""
