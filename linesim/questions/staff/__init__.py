"""`staff`: how many people in which crew."""
