"""Bolts: threads, strength, tightening, engagement, shear, corrosion, and whether a found bolt will do."""
