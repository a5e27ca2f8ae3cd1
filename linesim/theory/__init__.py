"""What must be true of a line without simulating it: exact values, bounds and identities.

What `verify` and `sequence` use, one idea a file, imported by name: free lines (``tandem``, ``departures``,
``loops``), stations by themselves (``stations``), paced lines (``largest``, ``drift``), times (``laws``).
Formulas that only tests use stand in ``tests/formulas``.
"""
