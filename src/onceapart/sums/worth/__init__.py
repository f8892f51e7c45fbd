"""Worth it: what keeping the car comes to, against letting it go."""
