"""`warmup`: when the start of a run stops mattering."""
