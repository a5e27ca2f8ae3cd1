"""The drawings, one a file: what is drawn as plain numbers, and how it is drawn."""
