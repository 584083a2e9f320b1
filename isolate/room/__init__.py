"""One model of a room: its envelope and elements, what is received of each sound, how sure that is."""
