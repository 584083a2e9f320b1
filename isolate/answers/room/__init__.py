"""Whether it is still heard, where it comes in, and what each change would do."""
