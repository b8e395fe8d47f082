"""What the heat means: risks ranked, steps to take, cautions to keep."""
