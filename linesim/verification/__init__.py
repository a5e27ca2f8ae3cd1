"""What `linesim verify` checks: settings with a known answer, and what a line of one's own must keep to."""
