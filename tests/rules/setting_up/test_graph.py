"""Circles among what machines ask for first: found, named, and never seen where there is none."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.setting_up.rules.graph import circle_in, in_order, named_path, ranks

GRAPHS = st.dictionaries(st.integers(0, 7), st.lists(st.integers(0, 7), max_size=4), max_size=8)
# Every node asks only for smaller ones: no circle is possible.
LADDERS = (
    st.integers(1, 8)
    .flatmap(
        lambda n: st.tuples(
            *[st.lists(st.integers(0, max(k - 1, 0)), max_size=4) if k else st.just([]) for k in range(n)]
        )
    )
    .map(lambda rungs: dict(enumerate(rungs)))
)


def test_names_the_path_of_a_circle():
    asks = {"drill press": [], "band saw": ["table saw"], "table saw": ["drill press", "band saw"]}
    assert named_path(circle_in(asks)) == "band saw → table saw → band saw"


def test_a_machine_that_asks_for_itself_is_a_circle():
    assert circle_in({"lathe": ["lathe"]}) == ("lathe", "lathe")


def test_two_ways_to_the_same_machine_are_no_circle():
    assert circle_in({"a": ["b", "c"], "b": ["d"], "c": ["d"], "d": []}) == ()


def test_a_chain_of_ten_thousand_is_walked():
    asks = {n: [n + 1] for n in range(10_000)}
    assert circle_in(asks) == ()
    assert circle_in(asks | {10_000: [0]})[0] == 0


@given(GRAPHS)
def test_reported_circle_is_a_circle(asks):
    circle = circle_in(asks)
    assert all(after in asks[before] for before, after in itertools.pairwise(circle))
    assert not circle or (circle[0] == circle[-1] and len(set(circle)) == len(circle) - 1)


@given(GRAPHS)
def test_finds_a_circle_exactly_where_some_node_reaches_itself(asks):
    reach = {node: set(after) for node, after in asks.items()}
    for _ in range(8):
        reach = {
            node: after.union(*(reach.get(required, set()) for required in after)) for node, after in reach.items()
        }
    assert bool(circle_in(asks)) == any(node in after for node, after in reach.items())


@given(LADDERS)
def test_a_ladder_has_no_circle_and_is_ordered_from_the_ground_up(asks):
    assert circle_in(asks) == ()
    order, rank = in_order(asks), ranks(asks)
    for node, after in asks.items():
        assert all(order.index(required) < order.index(node) and rank[required] < rank[node] for required in after)


def test_ranks_of_a_circle_are_refused_by_name():
    with pytest.raises(ValueError, match="1 → 2 → 1"):
        ranks({1: [2], 2: [1]})
