"""`mix`: what an option mix does to the line, and where it hurts."""
