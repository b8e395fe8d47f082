"""What to cover, with what, and how to cut it: a decision for each neighbour and a plan that a person can lay."""
