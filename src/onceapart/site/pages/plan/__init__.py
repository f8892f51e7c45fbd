"""The plan, made in the background and kept."""
