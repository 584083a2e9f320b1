"""What it would sound like."""
