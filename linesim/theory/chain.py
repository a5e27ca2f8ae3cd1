"""Markov chains in continuous or slotted time: explore the states, solve for their long-run shares."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

State = TypeVar("State", bound=Hashable)


@dataclass(frozen=True)
class Chain(Generic[State]):
    """The states reached from a start, and the moves between them.

    Attributes:
        states: All states that can be reached, in order of discovery.
        came_from: For each move, the index of the state it leaves.
        goes_to: For each move, the index of the state it enters.
        rate: For each move, its rate (continuous time) or chance (slotted time).
    """

    states: tuple[State, ...]
    came_from: NDArray[np.int64]
    goes_to: NDArray[np.int64]
    rate: NDArray[np.float64]


def explore(
    start: State,
    moves: Callable[[State], Iterable[tuple[float, State]]],
    *,
    limit: int = 500_000,
) -> Chain[State]:
    """Return the chain of all states that can be reached from ``start``.

    Args:
        start: Any state, hashable.
        moves: Gives for a state the pairs (rate or chance, next state); several pairs to the same
            state add up.
        limit: Most states to look at; a model with more is refused, not cut.

    Raises:
        ValueError: If there are more than ``limit`` states.
    """
    states, index = [start], {start: 0}
    came, goes, rates = [], [], []
    seen = 0
    while seen < len(states):
        for rate, state in moves(states[seen]):
            if rate <= 0:
                continue
            at = index.setdefault(state, len(states))
            if at == len(states):
                if at >= limit:
                    raise ValueError(f"the line has more than {limit} states; make it or its buffers smaller")
                states.append(state)
            came.append(seen)
            goes.append(at)
            rates.append(rate)
        seen += 1
    return Chain(
        tuple(states), np.array(came, np.int64), np.array(goes, np.int64), np.array(rates, np.float64)
    )


def long_run_shares(chain: Chain[State]) -> NDArray[np.float64]:
    """Return the share of time (or of slots) that the chain spends in each state.

    The balance equations are solved directly. The same equations hold for rates and for chances,
    because a move from a state to itself cancels.

    Args:
        chain: A chain with one closed class of states; states outside it get a share of 0.

    Returns:
        Shares in the order of ``chain.states``, shape ``(states,)``, summing to 1.

    Raises:
        ValueError: If the chain can end in more than one closed class.
    """
    from scipy import sparse
    from scipy.sparse.csgraph import connected_components
    from scipy.sparse.linalg import splu

    n = len(chain.states)
    moving = chain.came_from != chain.goes_to
    came, goes, rate = chain.came_from[moving], chain.goes_to[moving], chain.rate[moving]
    flow = sparse.csc_matrix((rate, (goes, came)), shape=(n, n))
    parts, part = connected_components(flow.T, directed=True, connection="strong")
    left = np.zeros(parts, dtype=bool)
    left[part[came[part[came] != part[goes]]]] = True
    closed = np.flatnonzero(~left)
    if closed.size != 1:
        raise ValueError(f"the chain has {closed.size} closed parts, so no single long run")
    kept = np.flatnonzero(part == closed[0])
    shares = np.zeros(n)
    shares[kept[0]] = 1.0
    if kept.size > 1:
        inner = flow[kept][:, kept]
        balance = sparse.csc_matrix(inner - sparse.diags(np.asarray(inner.sum(axis=0)).ravel()))
        # One equation is redundant: set the first share to 1, solve for the others, scale. Columns
        # are diagonally dominant, so elimination needs no pivots and may keep the symmetric order.
        factors = splu(
            sparse.csc_matrix(balance[1:, 1:]),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )
        shares[kept[1:]] = factors.solve(-balance[1:, [0]].toarray().ravel())
    shares = np.clip(shares, 0.0, None)  # rounding may leave -1e-17
    return np.asarray(shares / shares.sum(), dtype=np.float64)
