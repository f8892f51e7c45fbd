"""Every bench sum as a form."""
