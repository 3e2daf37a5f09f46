"""Files: designs, scales, tunings, the handbook, and the user's own; read, checked, saved."""
