"""Photos of findings and notes."""
