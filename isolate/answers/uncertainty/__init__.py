"""What is not known, how far predictions may be off, and chances drawn from that."""
