"""The current stint, step by step."""
