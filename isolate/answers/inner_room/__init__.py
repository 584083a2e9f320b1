"""What a room within the room would buy."""
