"""An independent implementation that the package is held against; see plain.py and design.py."""
