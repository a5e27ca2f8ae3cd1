"""`bottleneck`: which station holds the line back, by the published methods side by side."""

from linesim.studies.bottleneck.study import Bottleneck, bottleneck

__all__ = ["Bottleneck", "bottleneck"]
