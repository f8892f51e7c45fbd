"""Whether a car may go on the road."""
