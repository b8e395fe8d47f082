"""What the operator owns, and which nozzle fits over the target."""
