"""On-board diagnostics: readiness, trouble codes, and the vehicle identification number."""
