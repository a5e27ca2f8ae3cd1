"""`sweep`: many cases of a line, and what each input brings."""
