"""What a user types, one command a file: arguments in, an answer on stdout, everything else on stderr."""
