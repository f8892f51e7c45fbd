"""Engineering sums: pure functions with units, ranges and sources, described by one registry.

``run.run_sum`` answers a sum from typed text; ``registry`` lists them; each family (``bolts`` ...) is a
package with a ``catalogue`` module. Importing this package imports none of them.
"""
