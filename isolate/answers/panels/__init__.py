"""Why panels do not stop sirens."""
