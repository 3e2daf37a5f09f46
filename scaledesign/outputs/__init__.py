"""Everything that leaves the program as a file: what there is, in which forms, made into one folder."""
