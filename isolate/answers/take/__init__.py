"""Whether a noise is there in a recording."""
