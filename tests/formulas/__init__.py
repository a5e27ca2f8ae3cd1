"""Formulas that the tests hold the program to, each from the literature or recomputed here."""
