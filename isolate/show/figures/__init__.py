"""Answers as pictures, one module a question; the only place of matplotlib."""
