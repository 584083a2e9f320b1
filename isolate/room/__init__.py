"""One model of a room: its envelope and elements, what is received of each sound, how sure that is."""

DRAWS, SEED = 500, 1  # of every answer that states none
