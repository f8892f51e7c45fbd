"""Tyres: what a size means, and what another size does to the car."""
