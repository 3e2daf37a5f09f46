"""The physics of air columns: SI floats and arrays in, the same out."""
