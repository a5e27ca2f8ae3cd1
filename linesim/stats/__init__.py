"""Statistics over replications: intervals, comparisons, precision, warm-up, selection, designs.

Everything here takes plain numbers and gives plain numbers; nothing knows what was simulated, and
nothing depends on the order in which figures were found. Names are imported from the file of their topic.
"""
