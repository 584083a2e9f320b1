"""Recordings: levels over time, checks on them, and what they say about walls, windows and nights."""
