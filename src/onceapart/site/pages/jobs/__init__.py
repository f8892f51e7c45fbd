"""Jobs and what several of them share."""
