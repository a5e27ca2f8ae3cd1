"""Questions answered by replications: a run, and what is built on many of them."""
