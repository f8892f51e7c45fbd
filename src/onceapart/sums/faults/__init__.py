"""Fault finding: which check next, when several could be made and some share the taking-apart."""
