"""Answers made audible."""
