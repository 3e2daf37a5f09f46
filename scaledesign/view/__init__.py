"""What the screen shows, as plain data: no terminal, no widget and no acoustics here."""
