"""What a study's answer looks like on a page, a form of answer a file."""
