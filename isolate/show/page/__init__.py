"""The story of a room as one HTML file."""
