"""`bottleneck`: which station holds the line back, by the published methods side by side."""

from linesim.questions.bottleneck.study import Bottleneck, bottleneck

__all__ = ["Bottleneck", "bottleneck"]
