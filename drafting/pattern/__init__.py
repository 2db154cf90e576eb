"""Flat geometry: curves, panels, seams and the pattern that they make. Counter-clockwise outlines, millimetres."""
