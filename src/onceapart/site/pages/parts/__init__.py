"""Needs against offers, and orders."""
