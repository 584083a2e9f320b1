"""Answers as text, one module a question."""
