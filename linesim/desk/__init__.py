"""The desk: a page on this machine where a line is seen, changed and asked."""
