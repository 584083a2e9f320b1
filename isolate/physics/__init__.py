"""How sound gets through: the formulas, and `transmission` where a construction meets them."""
