"""The engine: what happens on the line, instant by instant."""
