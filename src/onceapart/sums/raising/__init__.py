"""Raising a car: how far it rises, and what becomes of wheels, joints, shafts and stability."""
