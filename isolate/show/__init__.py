"""How an answer is told: text, figures, page, sound. Computes nothing."""
