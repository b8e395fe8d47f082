"""The command line: it wires the rooms together, nothing else."""
