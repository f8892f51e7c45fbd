"""Figures as one says them, for the commands."""

from onceapart.workshop.words import count, day, hours, listed, money

__all__ = ["count", "day", "hours", "listed", "money"]
