"""What must be true of a line without simulating it: exact values, bounds and identities.

One idea a file, imported by name: free lines (``tandem``, ``departures``, ``allocation``,
``breakdowns``, ``loops``), queues (``queues``, ``filling``, ``repair_crews``), paced lines
(``largest``, ``drift``), the order of jobs (``sequences``, ``runs``), work inside a station
(``precedence``, ``laws``, ``common_draws``), quality (``rework``, ``key_figures``), and what holds a
line back (``bottlenecks``, ``ceilings``).
"""
