"""What one replication says in numbers: a family of measures a file."""

from linesim.measures.definitions import DEFINITIONS, GLOSSARY, Definition
from linesim.measures.measure import measure
from linesim.measures.value import SEGMENT, Value

__all__ = ["DEFINITIONS", "GLOSSARY", "SEGMENT", "Definition", "Value", "measure"]
