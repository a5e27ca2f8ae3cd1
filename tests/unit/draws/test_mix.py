"""What a job is made of: shares, take rates, packages, needs and exclusions."""

import itertools

import numpy as np
import pytest

from linesim.draws.mix import Mix
from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedPackage
from tests.luck import sheet
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.unit.draws.small import book

ROOF, HITCH, CAMERA, RADIO = range(4)


def options(orders, seed=1, jobs=400):
    """Return the option bits of the first jobs."""
    mix = Mix(orders, Streams(seed, 1))
    return [mix[job].options for job in range(jobs)]


def sure(*names, **rest):
    """Return the only set of options that a book gives in which everything named is always taken."""
    takes = {name: float(name in names) for name in ("roof", "hitch", "camera", "radio")}
    (found,) = set(options(book(takes=takes, **rest), jobs=20))
    return {option for option in range(4) if found >> option & 1}


def test_take_rates_of_none_and_all():
    """A rate of 0 is never taken, a rate of 1 always."""
    assert sure() == set()
    assert sure("hitch", "radio") == {HITCH, RADIO}


def test_models_and_options_follow_their_numbers():
    """The model is the share its number falls in; an option is taken where its number is below its rate."""
    models, roofs, hitches = (
        sheet(3, 2, *key) for key in (("model", ""), ("option", "roof"), ("option", "hitch"))
    )
    orders = book(shares=(0.2, 0.0, 0.5, 0.3), takes={"roof": (0.1, 1.0, 0.6, 0.0), "hitch": 0.25})
    mix = Mix(orders, Streams(3, 2))
    for job in range(1000):
        u = models[job]
        model = 0 if u < 0.2 else 2 if u < 0.7 else 3
        roof = roofs[job] < (0.1, 1.0, 0.6, 0.0)[model]
        hitch = hitches[job] < 0.25
        assert (mix[job].model, mix[job].options) == (model, roof | hitch << 1)


def test_shares_need_not_add_up_to_one():
    """Shares of 2 and 6 mean the same as shares of 0.25 and 0.75."""
    few, many = (Mix(book(shares=shares), Streams(1, 1)) for shares in ((0.25, 0.75), (2.0, 6.0)))
    assert [few[job] for job in range(500)] == [many[job] for job in range(500)]


def test_a_package_brings_its_options_together():
    """A package that is taken puts all its options on the job; alone they come by their own rates."""
    winter = PlannedPackage("winter", (1.0,), (ROOF, CAMERA))
    assert sure(packages=(winter,)) == {ROOF, CAMERA}
    assert sure("hitch", packages=(winter,)) == {ROOF, HITCH, CAMERA}
    assert sure("roof", packages=(PlannedPackage("winter", (0.0,), (ROOF, CAMERA)),)) == {ROOF}


def test_a_package_has_a_number_of_its_own():
    """With a package at 0.3 its two options come together or not at all, on about 0.3 of the jobs."""
    orders = book(takes={"roof": 0.0, "camera": 0.0}, packages=(PlannedPackage("winter", (0.3,), (0, 1)),))
    found = options(orders, jobs=4000)
    assert set(found) == {0, 3}
    stream = sheet(1, 1, "package", "winter")
    numbers = [stream[job] for job in range(4000)]
    assert [both == 3 for both in found] == [number < 0.3 for number in numbers]


def test_what_an_option_needs_comes_along():
    """Needs are followed, also from one to the next, also for the options of a package."""
    chain = ((RADIO, HITCH), (HITCH, CAMERA))
    assert sure("radio", needs=chain) == {RADIO, HITCH, CAMERA}
    assert sure("hitch", needs=chain) == {HITCH, CAMERA}
    assert sure("camera", needs=chain) == {CAMERA}
    assert sure(needs=chain, packages=(PlannedPackage("sound", (1.0,), (RADIO, ROOF)),)) == {0, 1, 2, 3}
    assert sure("roof", needs=((ROOF, HITCH), (HITCH, ROOF))) == {ROOF, HITCH}


def test_of_two_that_exclude_each_other_the_first_stays():
    """Whichever way round a pair is written, the option that stands first in the file stays."""
    for pair in ((HITCH, RADIO), (RADIO, HITCH)):
        assert sure("hitch", "radio", "roof", excludes=(pair,)) == {ROOF, HITCH}
        assert sure("radio", excludes=(pair,)) == {RADIO}


def test_exclusions_are_settled_from_the_front_of_the_file():
    """An option that had to go excludes nothing any more: of roof | hitch | camera roof and camera stay."""
    assert sure("roof", "hitch", "camera", excludes=((HITCH, CAMERA), (ROOF, HITCH))) == {ROOF, CAMERA}


def test_with_an_option_goes_what_needs_it():
    """An option whose need is excluded goes too, and so do the package it came in and its other options."""
    assert sure("hitch", "radio", needs=((RADIO, CAMERA),), excludes=((HITCH, CAMERA),)) == {HITCH}
    winter = PlannedPackage("winter", (1.0,), (CAMERA, RADIO))
    assert sure("roof", packages=(winter,), excludes=((ROOF, RADIO),)) == {ROOF}
    assert sure("roof", "camera", packages=(winter,), excludes=((ROOF, RADIO),)) == {ROOF, CAMERA}


def test_an_option_that_excludes_its_own_need_never_comes():
    """An option that needs what it excludes can't be built, and no half of it is."""
    assert sure("hitch", needs=((HITCH, RADIO),), excludes=((HITCH, RADIO),)) == set()


@pytest.mark.parametrize("seed", range(5))
def test_no_job_ever_breaks_a_rule(seed):
    """Over random rules: no job has an excluded pair, or an option without what it needs."""
    luck = np.random.default_rng(seed)
    n = 7
    pairs = list(itertools.permutations(range(n), 2))
    luck.shuffle(pairs)
    needs = tuple((int(a), int(b)) for a, b in pairs[:4])
    excludes = tuple((int(a), int(b)) for a, b in pairs[4:9])
    packages = (PlannedPackage("p", (0.4, 0.2), (0, 5)), PlannedPackage("q", (0.3, 0.6), (2, 6, 3)))
    orders = book(
        shares=(0.5, 0.5), takes={f"o{i}": 0.4 for i in range(n)}, needs=needs, excludes=excludes,
        packages=packages,
    )  # fmt: skip
    for found in options(orders, seed=seed, jobs=1500):
        assert not [pair for pair in excludes if found >> pair[0] & 1 and found >> pair[1] & 1]
        assert not [pair for pair in needs if found >> pair[0] & 1 and not found >> pair[1] & 1]


def test_more_options_than_a_machine_word_has_bits():
    """Seventy choices (60 options, 10 packages) are drawn as well as seven."""
    packages = tuple(PlannedPackage(f"p{i}", (float(i == 9),), (i, 59 - i)) for i in range(10))
    orders = book(takes={f"o{i}": float(i == 30) for i in range(60)}, packages=packages)
    assert set(options(orders, jobs=5)) == {1 << 30 | 1 << 9 | 1 << 50}


def test_options_that_exclude_each_other_keep_their_shares():
    """Three options that exclude each other still come with their own take rates."""
    takes = {"roof": 0.5, "hitch": 0.3, "camera": 0.15}
    pairs = ((ROOF, HITCH), (ROOF, CAMERA), (HITCH, CAMERA))
    by_seed = np.array(
        [
            [np.mean([bits >> option & 1 for bits in options(book(takes=takes, excludes=pairs), seed=s)])
             for option in (ROOF, HITCH, CAMERA)]
            for s in range(1, 81)
        ]
    )  # fmt: skip
    for option, rate in enumerate(takes.values()):
        assert_mean_agrees(by_seed[:, option], rate, must_see=0.02)
    assert_mean_differs(by_seed[:, HITCH], 0.3 * 0.5, must_see=0.02)  # what independent draws would leave
