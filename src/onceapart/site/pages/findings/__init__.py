"""Findings and verdicts of a car."""
