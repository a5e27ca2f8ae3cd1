"""The line read back in plain sentences, in line order: what somebody would say on a walk along it."""
