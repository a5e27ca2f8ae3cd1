"""The plan: names become indices, tables become read-only arrays."""
