"""What one replication says in numbers: a family of measures a file."""

from linesim.measures.definitions import DEFINITIONS, GLOSSARY, SEGMENT, Definition, Value
from linesim.measures.measure import measure

__all__ = ["DEFINITIONS", "GLOSSARY", "SEGMENT", "Definition", "Value", "measure"]
