"""One folder a question (or a module); each returns a frozen dataclass that the tellers render."""
