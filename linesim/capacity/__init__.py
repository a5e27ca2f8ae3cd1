"""What can be said of a line without simulating it."""
