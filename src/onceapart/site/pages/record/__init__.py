"""What was done, what it cost and took."""
