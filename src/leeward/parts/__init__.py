"""What each part is: family, lead style, body, height, mass, and how hot it may get."""
