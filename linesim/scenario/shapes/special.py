"""The normal quantile, and the special functions of SciPy, which is loaded when one of them is first needed.

Loading SciPy takes as long as all other libraries together; most lines need only the normal quantile.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_ROOT = 2.50662827463100050242  #: Of two pi.
_EDGE = 0.13533528323661269189  #: exp(-2): below it, and so much below 1, lie the tails.
_FAR = 8.0  #: Spreads, roughly, from which on a tail is far: shares of less than exp(-32).
#: Numerator and denominator of each part, the highest power first.
_MIDDLE = (
    (
        -5.99633501014107895267e1, 9.80010754185999661536e1, -5.66762857469070293439e1,
        1.39312609387279679503e1, -1.23916583867381258016e0,
    ),
    (
        1.0, 1.95448858338141759834e0, 4.67627912898881538453e0, 8.63602421390890590575e1,
        -2.25462687854119370527e2, 2.00260212380060660359e2, -8.20372256168333339912e1,
        1.59056225126211695515e1, -1.18331621121330003142e0,
    ),
)  # fmt: skip
_NEAR_TAIL = (
    (
        4.05544892305962419923e0, 3.15251094599893866154e1, 5.71628192246421288162e1,
        4.40805073893200834700e1, 1.46849561928858024014e1, 2.18663306850790267539e0,
        -1.40256079171354495875e-1, -3.50424626827848203418e-2, -8.57456785154685413611e-4,
    ),
    (
        1.0, 1.57799883256466749731e1, 4.53907635128879210584e1, 4.13172038254672030440e1,
        1.50425385692907503408e1, 2.50464946208309415979e0, -1.42182922854787788574e-1,
        -3.80806407691578277194e-2, -9.33259480895457427372e-4,
    ),
)  # fmt: skip
_FAR_TAIL = (
    (
        3.23774891776946035970e0, 6.91522889068984211695e0, 3.93881025292474443415e0,
        1.33303460815807542389e0, 2.01485389549179081538e-1, 1.23716634817820021358e-2,
        3.01581553508235416007e-4, 2.65806974686737550832e-6, 6.23974539184983293730e-9,
    ),
    (
        1.0, 6.02427039364742014255e0, 3.67983563856160859403e0, 1.37702099489081330271e0,
        2.16236993594496635890e-1, 1.34204006088543189037e-2, 3.28014464682127739104e-4,
        2.89247864745380683936e-6, 6.79019408009981274425e-9,
    ),
)  # fmt: skip

Fraction = tuple[tuple[float, ...], tuple[float, ...]]


def normal_quantile(p: FloatArray) -> FloatArray:
    """Return the values that a standard normal number stays below with chances ``p``, of the same form.

    In the middle a fraction of polynomials of ``(p - 1/2)**2``, in the tails one of ``1 / sqrt(-2 ln p)``.
    Coefficients: S. L. Moshier, Methods and Programs for Mathematical Functions (1989), ``ndtri``; SciPy has
    the same, so that values agree to 1e-15.

    Args:
        p: Chances, 0 < p < 1.

    Examples:
        >>> normal_quantile(np.array([0.5, 0.975])).round(6)
        array([0.      , 1.959964])
    """
    chance = np.ravel(p)
    off = chance - 0.5
    square = off * off
    value = _part(square, square, _MIDDLE)
    value *= off
    value += off
    value *= _ROOT
    is_tail = chance <= _EDGE
    is_tail |= chance > 1 - _EDGE
    tail = np.flatnonzero(is_tail)
    beyond = chance[tail]
    is_upper = beyond > 0.5
    np.subtract(1, beyond, out=beyond, where=is_upper)
    far = np.sqrt(-2 * np.log(beyond))
    near = 1 / far
    correction = _part(near, near, _NEAR_TAIL)
    if (is_far := far >= _FAR).any():
        correction[is_far] = _part(near[is_far], near[is_far], _FAR_TAIL)
    found = far - np.log(far) / far - correction
    value[tail] = np.where(is_upper, found, -found)
    return value.reshape(np.shape(p))


def _part(factor: FloatArray, x: FloatArray, fraction: Fraction) -> FloatArray:
    """Return ``factor`` times a fraction of polynomials in ``x``."""
    over, under = (_polynomial(x, powers) for powers in fraction)
    over *= factor
    over /= under
    return over


def _polynomial(x: FloatArray, powers: tuple[float, ...]) -> FloatArray:
    value = x * powers[0]
    for power in powers[1:-1]:
        value += power
        value *= x
    value += powers[-1]
    return value


def __getattr__(name: str) -> Any:
    """Return a function of ``scipy.special``."""
    if name.startswith("__"):  # what Python asks of a module while it is imported
        raise AttributeError(name)
    from scipy import special

    return getattr(special, name)
