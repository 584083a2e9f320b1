"""What to do first, and where to stop: one ordered list for every command that advises."""
