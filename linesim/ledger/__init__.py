"""The ledger: what happened, and how long everything was in each state."""
