"""`mix`: overload that is known to the second, options taken away exactly, rules that give it all back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.draws.draws import Draws
from linesim.draws.spacing import violations
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.plan.orders import PlannedOrder, PlannedSpacing
from linesim.questions.mix import mix
from linesim.questions.mix.drivers import Rule, apart, in_sequence, rule_of, shares, usual_rule, without
from linesim.questions.mix.levels import first_fall, plan_limit
from linesim.scenario import Scenario, load_text
from tests.commands.calls import LINE
from tests.lines import to

#: An operator on a moving line: takt 60 s, 20 s past the border allowed, 52 s of work and 70 s with the
#: option "big"; what does not fit is passed on. start' = max(0, min(start + work, 80) - 60): C. A. Yano and
#: R. Rachamadugu, Management Science 37 (1991) 572-586 (from memory), recomputed by hand.
DRIFT = """\
takt = "60 s"
flow = ["conveyor"]
[run]
length = "30 min"
shift = "30 min"
replications = 2
[option.big]
take = 0.4
[option.idle]
take = 0.5
[orders]
sequence = "listed"
list = LIST
after_last = "end"
[section.conveyor]
pacing = "moving"
stations = ["S1", "rest"]
[station.S1]
late = 0.33333333
on_limit = "pass"
open_to = "rest"
[station.S1.task.work]
time = "52 s"
time_for = { big = "70 s" }
[crew.operator]
people = 1
covers = ["S1"]
[crew.finisher]
people = 1
covers = ["rest"]
"""


def drift(pattern: str) -> Scenario:
    """Return the line with the orders of a pattern: H with the option, B without."""
    orders = ["standard+big" if letter == "H" else "standard" for letter in pattern]
    return load_text(DRIFT.replace("LIST", str(orders)))


def test_overload_is_that_of_the_drift_by_hand() -> None:
    """HHBHHBBHBH leaves 2 s on the fourth and 10 s on the fifth job: 1.2 s per job, all the option's."""
    found = mix(drift("HHBHHBBHBH"), rules="big 2 in 3")
    (driver,) = found.table("drivers")
    assert driver["option"] == "big" and driver["share"] == pytest.approx(0.6)
    assert driver["overload"].mean == pytest.approx(1.2)
    assert driver["overload_each"] == pytest.approx(2.0)
    (cell,) = found.table("overload")
    assert (cell["option"], cell["station"], cell["overload"].mean) == ("big", "S1", pytest.approx(1.2))


def test_a_rule_that_theory_allows_gives_all_the_overload_back() -> None:
    """Four heavy jobs in a row leave 20 s; at most 2 in 5 leaves none, as the published rule says.

    H:N = floor(20/10) : 2 + ceil(2*10/8) = 2:5 (A. Bolat and C. A. Yano 1992, from memory; recomputed).
    """
    found = mix(drift("HHHHBBBBBB"), rules=["big 2 in 5"])
    assert found.table("drivers").row("big")["overload"].mean == pytest.approx(2.0)
    assert found.table("spacing").row("big at most 2 in 5")["overload"].mean == pytest.approx(-2.0)
    (said,) = [text for text in found.sentences if "rule 'big at most 2 in 5'" in text]
    assert said.endswith("; 2 fewer seconds over the limit per job at the line (each time).")


def test_without_a_rule_the_tightest_usual_one_is_tried() -> None:
    """Four in ten leave room for 1 in 2 and not for 1 in 3."""
    found = mix(drift("HHHHBBBBBB"))
    assert found.table("spacing").column("rule") == ("big at most 1 in 2",)
    assert usual_rule("x", 1 / 3) == Rule("x", 1, 3)
    assert usual_rule("x", 0.34) == Rule("x", 1, 2)
    assert usual_rule("x", 0.9) is None


def test_a_rule_that_is_kept_already_is_not_tried() -> None:
    """A generated sequence that keeps 2 in 3 gains nothing by it; one that does not keep it may."""
    text = DRIFT.replace('sequence = "listed"\nlist = LIST\nafter_last = "end"', 'sequence = "random"')
    text = text.replace("take = 0.4", "take = 0.6")
    rule = '[orders.spacing.big]\nof = "big"\nat_most = 2\nin_any = 3\n[section.conveyor]'
    kept = mix(load_text(text.replace("[section.conveyor]", rule)), options=["big"], replications=6)
    assert not len(kept.table("spacing"))
    assert any(said.startswith("The sequence keeps the rule 'big at most 2 in 3'") for said in kept.sentences)
    free = mix(load_text(text), options=["big"], replications=6)
    assert free.table("spacing").column("rule") == ("big at most 2 in 3",)


def test_who_has_an_option_and_who_pays_for_it_differ() -> None:
    """An option that always comes along but asks for no work brings nothing."""
    orders = ["standard+big+idle" if letter == "H" else "standard" for letter in "HHHHBBBBBB"]
    found = mix(load_text(DRIFT.replace("LIST", str(orders))))
    assert found.table("drivers").row("idle")["overload"].mean == 0
    assert found.table("drivers").row("big")["overload"].mean == pytest.approx(2.0)
    assert "big drives the overload" in " ".join(found.sentences)


def test_a_cab_does_not_answer_for_what_hangs_in_it() -> None:
    """Where the cooler that needs the cab makes all the work, the cooler drives the overload, not the cab."""
    text = DRIFT.replace("[option.idle]\ntake = 0.5", '[option.cool]\ntake = 0.5\nneeds = ["big"]')
    text = text.replace('time_for = { big = "70 s" }', 'time_for = { cool = "70 s" }')
    orders = ["standard+big+cool" if letter == "H" else "standard+big" for letter in "HHHHBBBBBB"]
    found = mix(load_text(text.replace("LIST", str(orders))))
    assert found.table("drivers").column("option") == ("cool", "big")
    cab = found.table("drivers").row("big")
    assert cab["goes_with"] == "cool" and cab["overload"].mean == pytest.approx(2.0)
    assert cab["own_overload"].mean == 0
    assert found.table("spacing").column("of") == ("cool",)


#: Options of every kind: one that needs another, a package, two that live apart.
BOOK = LINE.replace(
    "[option.rack]\ntake = 0.5",
    "[option.rack]\ntake = 0.5\n[option.cab]\ntake = { plain = 0.3, rich = 0.6 }\n[option.cool]\ntake = 0.3\n"
    'needs = ["cab"]\n[option.fan]\ntake = 0.2\nneeds = ["cool"]\n[package.winter]\ntake = 0.25\n'
    'options = ["cool", "rack"]',
)


@pytest.mark.parametrize(
    ("option", "others"),
    [("rack", ()), ("cab", ("cool", "fan")), ("cool", ("fan",)), ("fan", ())],
)
def test_taking_an_option_away_moves_nothing_else(option: str, others: tuple[str, ...]) -> None:
    """Job for job the options are those of before, less the option and those that need it."""
    base = load_text(BOOK)
    plan = build(base)
    changes, gone = without(base, plan, option)
    assert gone == others
    less = build(base.replace(changes))
    mask = sum(1 << plan.orders.option_names.index(name) for name in (option, *others))
    before, after = (Draws(item, 3, 1) for item in (plan, less))
    # What an option that is gone brought along goes with it, where nothing else brings it.
    brought = {"fan": ("cool", "cab"), "cool": ("cab",)}.get(option, ())
    loose = sum(1 << plan.orders.option_names.index(name) for name in brought)
    for job in range(600):
        had, has = before.order(job), after.order(job)
        assert had is not None and has is not None
        kept = had.options & ~mask
        assert has.options & ~kept == 0 and kept & ~has.options & ~loose == 0
        assert has.model == had.model
        if not had.options & mask:
            assert has.options == had.options


def test_shares_are_what_is_built() -> None:
    """An option's share counts packages and what other options bring along."""
    found = shares(build(load_text(BOOK)))
    cool = 1 - 0.7 * 0.75 * 0.8  # alone, in the package, or with a fan
    assert found["cool"] == pytest.approx(cool)
    assert found["rack"] == pytest.approx(1 - 0.5 * 0.75)
    assert found["cab"] == pytest.approx(1 - (1 - cool) * (0.75 * 0.7 + 0.25 * 0.4))
    assert found["plain"] == pytest.approx(0.75)


@given(st.lists(st.booleans(), min_size=1, max_size=150), st.integers(1, 2), st.integers(3, 5))
def test_listed_orders_put_in_sequence_stay_the_same_orders(
    has: list[bool], at_most: int, in_any: int
) -> None:
    """No order is lost or changed, and no more windows are broken than before."""
    orders = [PlannedOrder(0, 1 if one else 0) for one in has]
    spacings = (PlannedSpacing("new", -1, 0, at_most, in_any),)
    found = in_sequence(orders, spacings)
    assert sorted(order.options for order in found) == sorted(order.options for order in orders)
    if len(orders) <= 100:
        assert violations(found, spacings)[0].broken <= violations(orders, spacings)[0].broken


def test_rules_are_read_and_refused() -> None:
    """Words are read as people write them; what forbids nothing, names nothing or is no rule is refused."""
    assert rule_of("big at most 1 in any 3") == rule_of("big: 1 in 3") == Rule("big", 1, 3)
    assert rule_of("big cab 1 in 3").of == "big cab"
    for wrong in ("big", "big 3 in 3", "1 in 3", "big 0 in 3"):
        with pytest.raises(WrongQuestionError):
            rule_of(wrong)
    with pytest.raises(WrongQuestionError, match="no option or model"):
        apart(build(load_text(LINE)), Rule("roof", 1, 3))
    with pytest.raises(WrongQuestionError, match="no option"):
        mix(load_text(LINE), options=["roof"])


# Output against the take rate


def test_where_a_curve_falls_below_the_plan() -> None:
    """Straight lines between the rates, from the lowest up; each bound by itself."""
    rates = [0.1, 0.2, 0.3, 0.4]
    found = plan_limit(rates, [130, 124, 116, 110], [128, 121, 113, 107], [132, 127, 119, 113], 120)
    assert found.rate == pytest.approx(0.25)
    assert found.low == pytest.approx(0.2125)
    assert found.high == pytest.approx(0.2875)
    assert (found.sure, found.possible) == (0.2, 0.2)
    assert not found.never_fails and not found.always_fails and not found.is_excluded
    low = plan_limit(rates, [119, 118, 116, 110], [118] * 4, [119.5] * 4, 120)
    assert low.rate is None and low.always_fails and low.is_excluded
    high = plan_limit(rates, [130, 129, 128, 127], [129, 128, 127, 126], [131] * 4, 120)
    assert high.never_fails and high.sure == 0.4
    alone = plan_limit(rates, [130, 124, 116, 110], [None] * 4, [None] * 4, 120)
    assert alone.rate == pytest.approx(0.25) and alone.low is None and alone.sure is None
    assert first_fall([0.1, 0.2], [100, 130], 120) is None


def test_a_range_tells_output_stops_and_plan() -> None:
    """More racks, more overload and more stops; the highest rate that makes 58.5 lies inside the range."""
    found = mix(
        load_text(LINE),
        vary="option.rack.take = [0.9, 0.1, 0.5]",
        target=58.4,
        no_options=True,
        replications=8,
    )
    mixes = found.table("mixes")
    assert mixes.column("mix") == ("as it is", "0.1", "0.5", "0.9")
    overload = [level["overload"].mean for level in mixes][1:]
    assert overload == sorted(overload) and overload[0] < overload[-1]
    assert mixes.row("option.rack.take = 0.5")["more_output"].mean == 0
    assert not len(found.table("drivers"))
    said = " ".join(found.sentences)
    assert 0.1 < float(said.partition("on average up to option.rack.take = ")[2].split()[0]) < 0.9
    assert "10 % of the jobs have it" in said and "The plan of 58.4 a shift" in said
    assert mixes.column("built_share") == pytest.approx((0.5, 0.1, 0.5, 0.9))
    met = mixes.row("option.rack.take = 0.1")["plan_met"]
    assert 0 <= met.low <= met.mean <= met.high <= 1 and met.low < met.high


def test_a_new_mix_is_compared_with_the_line_as_it_is() -> None:
    """Lines make the new mix; what is built and what differs are told, and the option that drives it."""
    found = mix(load_text(LINE), to("model.rich.share = 3.0", "option.rack.take = 0.9"), replications=6)
    assert found.table("mixes").column("case") == ("as it is", "new mix")
    assert found.table("mixes").row("new mix")["more_output"].mean < 0
    built = {(row["case"], row["name"]): row["share"] for row in found.table("built")}
    assert built["new mix", "rich"] == pytest.approx(0.5)
    assert found.table("drivers").column("option") == ("rack",)
    assert {row["input"] for row in found.table("changes")} == {"model.rich.share", "option.rack.take"}
    loads = {row["name"]: row for row in found.table("loads") if row["kind"] == "station"}
    assert loads["B"]["as_it_is_share"] == pytest.approx((45 + 0.5 * 20) / 60)
    assert loads["B"]["load_share"] == pytest.approx((45 + 0.9 * 20) / 60)
    assert loads["B"]["over_takt_share"] == pytest.approx(0.9)  # 65 s with the rack against a takt of 60 s


def test_a_mix_as_it_is_needs_no_change() -> None:
    """Without a change the line as it is is taken apart."""
    found = mix(load_text(LINE), replications=3)
    assert found.table("mixes").column("case") == ("as it is",)
    assert found.sentences[0].startswith("As it is the line makes")
    assert found.table("changes").rows == ()


def test_a_take_rate_by_model_gives_way_to_one_for_all() -> None:
    """The change is told as one, from the rates by model to the new one."""
    base = load_text(LINE).replace(to("option.rack.take = { plain = 0.2, rich = 0.4 }"))
    found = mix(base, vary={"option.rack.take": [0.3]}, no_options=True, replications=2)
    assert found.table("changes").rows == (
        ("option.rack.take = 0.3", "option.rack.take", "{ plain = 0.2, rich = 0.4 }", "0.3"),
    )
