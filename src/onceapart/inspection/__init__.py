"""From what was found on a car to what an inspection would say, what is not known yet, and what to do."""
