"""`verify`: does the program give what is known, and does a line keep to its own laws?"""
