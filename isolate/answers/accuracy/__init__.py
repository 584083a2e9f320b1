"""How well predictions hold against published measurements."""
