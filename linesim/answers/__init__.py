"""Answers: a document of typed parts, and the one place where figures become words."""
