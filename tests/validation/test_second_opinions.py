"""Second opinions from general libraries: queueing networks, graphs, constraint solving.

They know nothing of this program. ciw gives blocking after service where queues are finite; networkx finds
longest paths; ortools settles whether a sequence or an assignment exists.
"""

from collections.abc import Sequence

import ciw
import networkx as nx
import numpy as np
import pytest
from ortools.sat.python import cp_model

from linesim.theory.tandem import line_throughput
from tests.formulas.precedence import critical_path, fewest_stations, shortest_job
from tests.formulas.sequences import overload_over_orders
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import UNIT, exponential, rates, tandem
from tests.validation.test_networks import NETWORKS
from tests.validation.test_orders import CAPACITIES, DEMAND, NEEDED, broken


def other_rates(machines: int, places: int, replications: int, length: float) -> list[float]:
    """Return jobs per unit of time of a saturated exponential line by ciw."""
    routing = [[float(b == a + 1) for b in range(machines)] for a in range(machines)]
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Deterministic(0.1)] + [None] * (machines - 1),
        service_distributions=[ciw.dists.Exponential(1)] * machines,
        routing=routing,
        number_of_servers=[1] * machines,
        queue_capacities=[3] + [places] * (machines - 1),
    )
    figures = []
    for seed in range(replications):
        ciw.seed(seed)
        simulation = ciw.Simulation(network)
        simulation.simulate_until_max_time(length + 40)
        ends = [
            record.exit_date
            for record in simulation.get_all_records()
            if record.node == machines and record.record_type == "service"
        ]
        figures.append(sum(40 < end < length + 40 for end in ends) / length)
    return figures


@pytest.mark.parametrize(("machines", "places"), [(3, 0), (4, 1)])
def test_another_engine_agrees_on_tandem_lines(machines: int, places: int) -> None:
    """ciw and this engine both make the exact throughput of a line, and of no line with a place more."""
    exact = line_throughput([1.0] * machines, places)
    raw = tandem([exponential(UNIT)] * machines, places, length=230 * UNIT, warm_up=40 * UNIT)
    for found in (other_rates(machines, places, 30, 230), rates(raw, 30)):
        assert_mean_agrees(found, exact, must_see=0.09 * exact)
        assert_mean_differs(found, line_throughput([1.0] * machines, places + 1), must_see=0.09 * exact)


@pytest.mark.parametrize(
    ("name", "path"), [("Mertens", 17), ("Bowman", 55), ("Jackson", 25), ("Mitchell", 74)]
)
def test_networkx_agrees_on_longest_chains(name: str, path: int) -> None:
    """The longest chain of each network is the same by networkx; no printed pair follows from the others."""
    network = NETWORKS[name]
    graph = nx.DiGraph()
    graph.add_nodes_from(range(1, len(network.times) + 1))
    graph.add_edges_from((a, b, {"weight": network.times[a - 1]}) for a, b in network.before)
    for last in [task for task in graph if graph.out_degree(task) == 0]:
        graph.add_edge(last, "end", weight=network.times[last - 1])
    assert nx.dag_longest_path_length(graph) == path == critical_path(network)
    plain = nx.DiGraph(list(network.before))
    assert set(nx.transitive_reduction(plain).edges) == set(plain.edges)


class Found(cp_model.CpSolverSolutionCallback):
    """Keeps every solution that a solver finds."""

    def __init__(self, cells: Sequence[Sequence[cp_model.IntVar]]) -> None:
        super().__init__()
        self.cells = cells
        self.sequences: set[tuple[int, ...]] = set()

    def on_solution_callback(self) -> None:
        """Keep the sequence of kinds."""
        values = [[self.value(cell) for cell in row] for row in self.cells]
        self.sequences.add(tuple(row.index(1) for row in values))


def test_ortools_finds_the_same_six_sequences() -> None:
    """A constraint solver finds exactly six feasible orders of the ten cars that break no window here."""
    model = cp_model.CpModel()
    cells = [[model.new_bool_var(f"{place}-{kind}") for kind in range(6)] for place in range(10)]
    for row in cells:
        model.add_exactly_one(row)
    for kind, number in enumerate(DEMAND):
        model.add(sum(row[kind] for row in cells) == number)
    for option, (at_most, in_any) in enumerate(CAPACITIES):
        for start in range(10 - in_any + 1):
            window = cells[start : start + in_any]
            model.add(sum(row[k] * NEEDED[k][option] for row in window for k in range(6)) <= at_most)
    solver, found = cp_model.CpSolver(), Found(cells)
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.num_workers = 1
    solver.solve(model, found)
    assert len(found.sequences) == 6
    assert all(broken(sequence) == [0] * 5 for sequence in found.sequences)


def holds(name: str, stations: int, takt: int) -> bool:
    """Return whether a solver can spread the tasks over so many stations at this takt."""
    network = NETWORKS[name]
    model = cp_model.CpModel()
    at = [model.new_int_var(0, stations - 1, f"t{t}") for t in range(len(network.times))]
    here = [[model.new_bool_var(f"{t}-{s}") for s in range(stations)] for t in range(len(at))]
    for t, row in enumerate(here):
        model.add_exactly_one(row)
        model.add(at[t] == sum(s * cell for s, cell in enumerate(row)))
    for s in range(stations):
        model.add(sum(int(network.times[t]) * here[t][s] for t in range(len(at))) <= takt)
    for a, b in network.before:
        model.add(at[a - 1] <= at[b - 1])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    status = solver.solve(model)
    assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE)
    return status != cp_model.INFEASIBLE


@pytest.mark.parametrize(
    ("name", "takt"), [("Mertens", 6), ("Bowman", 20), ("Jackson", 10), ("Jackson", 7), ("Mitchell", 21)]
)
def test_ortools_agrees_on_fewest_stations(name: str, takt: int) -> None:
    """The published fewest stations hold the tasks and one fewer do not, by a solver of another kind."""
    fewest = fewest_stations(NETWORKS[name], takt)
    assert holds(name, fewest, takt)
    assert not holds(name, fewest - 1, takt)


def test_ortools_agrees_on_two_operators() -> None:
    """Two operators finish one Jackson job in 28 and not sooner, by a solver of another kind."""
    network = NETWORKS["Jackson"]
    model = cp_model.CpModel()
    horizon = int(sum(network.times))
    ends, spans = [], []
    for t, time in enumerate(network.times):
        start = model.new_int_var(0, horizon, f"start {t}")
        spans.append(model.new_fixed_size_interval_var(start, int(time), f"task {t}"))
        ends.append((start, start + int(time)))
    model.add_cumulative(spans, [1] * len(spans), 2)
    for a, b in network.before:
        model.add(ends[b - 1][0] >= ends[a - 1][1])
    length = model.new_int_var(0, horizon, "length")
    for _, end in ends:
        model.add(length >= end)
    model.minimize(length)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    assert solver.objective_value == 28 == shortest_job(network, 2)


def test_ortools_agrees_on_the_least_overload() -> None:
    """Of all orders of five heavy and five basic jobs a solver finds 6 s as the least overload at 70 s."""
    model = cp_model.CpModel()
    heavy = [model.new_bool_var(f"h{j}") for j in range(10)]
    model.add(sum(heavy) == 5)
    start: cp_model.LinearExprT = 0
    left = []
    for j in range(10):
        end = 52 + 18 * heavy[j] + start
        over = model.new_int_var(0, 100, f"over {j}")
        model.add_max_equality(over, [end - 70, 0])
        left.append(over)
        after = model.new_int_var(0, 100, f"start {j + 1}")
        model.add_max_equality(after, [end - over - 60, 0])
        start = after
    model.minimize(sum(left))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    exact = overload_over_orders((70.0, 52.0), (5, 5), 60.0, 70.0)
    assert solver.objective_value == exact.least == 6
    assert np.isfinite(exact.mean)
