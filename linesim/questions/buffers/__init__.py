"""`buffers`: what a buffer place brings, and where places belong."""

from linesim.questions.buffers.study import BufferAnswer, buffers

__all__ = ["BufferAnswer", "buffers"]
