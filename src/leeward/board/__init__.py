"""What the board file says: parts with pads, copper, outline and stackup."""
