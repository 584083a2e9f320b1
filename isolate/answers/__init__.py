"""One module a question; each returns a frozen dataclass that the tellers render."""
