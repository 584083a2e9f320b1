"""What can hurt somebody: the cautions, and the facts that raise them."""
