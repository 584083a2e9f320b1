"""How it is rated: published constants, each with its table."""
