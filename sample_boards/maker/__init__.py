"""The maker of the sample boards: outlines to footprints, a net list to copper, all of it to a KiCad file."""
