"""The drilling template: the tube's outside unrolled at true size, on sheets that a desk printer takes."""
