"""`rebalance`: which tasks move to which station, and what that brings."""
