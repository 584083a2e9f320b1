"""What is built: materials, constructions, noises and rooms, and reading them from files."""
