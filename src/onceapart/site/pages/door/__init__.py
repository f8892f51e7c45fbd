"""Where others than this machine come in."""
