"""The project's numbers: TOML files, each entry with value, unit, source and confidence."""
