"""What must be true of a line without simulating it: exact values, bounds and identities."""
