"""`buffers`: what a buffer place brings, and where places belong."""
