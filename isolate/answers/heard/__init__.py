"""What arrives: levels, the ways into a room and out of it, verdicts, and how sure they are."""
