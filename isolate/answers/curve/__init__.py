"""What one construction stops, and why."""
