"""From the design to the flute: what to do next, what was done, and what that taught."""
