"""`buffers`: what a buffer place brings, and where places belong."""

from linesim.studies.buffers.study import Buffers, buffers

__all__ = ["Buffers", "buffers"]
