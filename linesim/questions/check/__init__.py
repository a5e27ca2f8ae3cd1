"""`check`: is the file right, and does the work fit?"""
