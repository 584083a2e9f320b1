"""What to do first, and where money stops helping."""
