"""The fingering chart for whoever plays the flute: what is on it, and the printed page."""
