"""All changes, each with a way back."""
