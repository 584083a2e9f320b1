"""Sound isolation of a room at home: what is built, how sound gets through, what is heard."""

__version__ = "0.1.0"
