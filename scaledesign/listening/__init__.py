"""A recording listened to: its samples, the pitch along it, its steady notes. No flute is known here."""
