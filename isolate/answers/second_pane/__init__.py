"""Whether a second window is worth it: which pane, how far away."""
