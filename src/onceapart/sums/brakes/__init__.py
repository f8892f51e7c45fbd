"""Brakes: fluid and pedal, discs, efficiency and balance, stopping, heat and bedding in."""
