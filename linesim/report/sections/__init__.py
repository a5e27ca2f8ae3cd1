"""The sections of the page, one question a file."""
