"""`validate`: does the simulated line look like the plant's own records?"""
