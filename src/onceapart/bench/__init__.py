"""At the bench: job cards, the record of what was done, snags, stopgaps and release. Rules, no screens."""
