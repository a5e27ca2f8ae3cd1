"""`mix`: what an option mix does to the line, and where it hurts."""

from linesim.studies.option_mix.books import Rule, rule_of
from linesim.studies.option_mix.mix import OptionMix, mix

__all__ = ["OptionMix", "Rule", "mix", "rule_of"]
