"""`bottleneck`: which station, crew or tool holds the line back, by the published methods side by side."""
