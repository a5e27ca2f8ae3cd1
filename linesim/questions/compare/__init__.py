"""`compare`: what a change does, paired over common draws."""
