"""`mix`: what an option mix does to the line, and where it hurts."""

from linesim.questions.mix.books import Rule, rule_of
from linesim.questions.mix.study import OptionMix, mix

__all__ = ["OptionMix", "Rule", "mix", "rule_of"]
