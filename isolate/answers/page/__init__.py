"""The whole story of a room for somebody else."""
