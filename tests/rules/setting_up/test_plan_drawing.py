"""The drawing of what comes first: every box once, right of all it asks for, no two on one place, every arrow drawn."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from machines.setting_up.rules.plan_drawing import HEIGHT, WIDTH, drawing

NAMES = "abcdefgh"


@st.composite
def graphs(draw: st.DrawFn) -> dict[str, list[str]]:
    """Each name asks only for earlier ones, so that there is no circle."""
    pairs = [(late, early) for n, late in enumerate(NAMES) for early in NAMES[:n]]
    chosen = draw(st.lists(st.sampled_from(pairs), unique=True))
    return {name: [early for late, early in chosen if late == name] for name in NAMES}


@given(graphs())
def test_boxes_do_not_overlap_and_follow_their_prerequisites(asks):
    plan_drawing = drawing(asks)
    boxes = {box.name: box for box in plan_drawing.boxes}
    assert len(boxes) == len(plan_drawing.boxes) == len({(box.x, box.y) for box in plan_drawing.boxes})
    assert {(arrow.first, arrow.dependent) for arrow in plan_drawing.arrows} == {
        (f, t) for t, fs in asks.items() for f in fs
    }
    for arrow in plan_drawing.arrows:
        assert boxes[arrow.first].x + WIDTH < boxes[arrow.dependent].x
    for box in plan_drawing.boxes:
        assert 0 < box.x < plan_drawing.width - WIDTH
        assert 0 < box.y < plan_drawing.height - HEIGHT


def test_machine_without_prerequisites_is_drawn_only_on_its_page():
    asks = {"table saw": ["band saw"], "drill press": []}
    assert {box.name for box in drawing(asks).boxes} == {"table saw", "band saw"}
    here = [box.name for box in drawing(asks, here="drill press").boxes if box.here]
    assert here == ["drill press"]


def test_an_arrow_that_was_not_there_before_is_new():
    plan_drawing = drawing({"b": ["a"], "c": ["a", "b"]}, before={"b": ["a"], "c": ["a"]})
    assert [(arrow.first, arrow.dependent) for arrow in plan_drawing.arrows if arrow.new] == [("b", "c")]


def test_nothing_to_draw_is_an_empty_sheet_and_a_circle_is_an_error():
    assert drawing({}).boxes == drawing({"a": []}).boxes == ()
    with pytest.raises(ValueError, match="b → a → b"):
        drawing({"a": ["b"], "b": ["a"]})


def test_two_arrows_into_one_box_do_not_lie_on_each_other():
    paths = [arrow.path for arrow in drawing({"c": ["a", "b"]}).arrows]
    assert len({path.rsplit("V", 1)[1] for path in paths}) == 2
