"""The version, which every answer carries."""

__version__ = "0.1.0"
