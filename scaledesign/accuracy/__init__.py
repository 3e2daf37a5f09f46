"""How far off: published cases held against the program, and the page that says so."""
