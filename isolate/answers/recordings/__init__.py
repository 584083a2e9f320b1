"""Reading recordings: levels over time, honest checks, decays."""
