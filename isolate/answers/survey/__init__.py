"""How quiet it is, and what breaks in."""
