"""A flute heard: tones, and its notes for other programs."""
