"""Pages that people read without the program: one file, nothing loaded, every figure with its numbers."""
