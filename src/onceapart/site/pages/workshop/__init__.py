"""The first page: each car, and what stands in its way."""
