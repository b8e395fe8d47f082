"""Every part of a board as a target: who stands in whose way, for the people who draw the board."""
