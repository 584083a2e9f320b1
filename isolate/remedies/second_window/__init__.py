"""A second window behind one that is there, and what else one may put into its reveal."""
