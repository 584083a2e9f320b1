"""What is there now: isolation from recordings."""
