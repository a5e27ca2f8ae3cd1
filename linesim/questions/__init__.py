"""The questions, a folder each: what can be asked (`__init__.py`), how it is answered (`study.py`)."""

#: Questions that are declared here, by the names of their folders and commands.
NAMES = (
    "run", "compare", "sweep", "screen", "mix", "buffers", "warmup", "crew", "staff", "rebalance", "sequence",
    "bottleneck", "doubt", "validate", "verify", "check", "explain", "fit",
)  # fmt: skip
