"""One file a garment: its options, rules, panels, seams, and how it lies and closes."""
