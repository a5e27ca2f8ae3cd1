"""`crew`: what one more operator buys, on which crew, and what one fewer costs."""
