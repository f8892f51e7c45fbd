"""Wear: from readings over distance to a rate, and to when a part reaches its limit."""
