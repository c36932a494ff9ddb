"""How names are written on the wall: short enough to read, never two people under one name."""

from hypothesis import given
from hypothesis import strategies as st

from shopsafe.paper.rules.names import Name, full_names, in_order, key, short_names


def name(given: str, family: str, mark: str = "") -> Name:
    return Name(f"{given} {family}", given, family, mark)


def test_a_short_name_is_the_first_name_and_an_initial() -> None:
    assert short_names([name("Amira", "Kell"), name("Hồng", "Đặng")]) == ["Amira K.", "Hồng Đ."]


def test_name_without_parts_stays_whole() -> None:
    assert short_names([Name("Bríd Ní Chonaill")]) == ["Bríd Ní Chonaill"]


def test_a_family_name_of_one_letter_takes_no_full_stop() -> None:
    assert short_names([name("Ye", "O")]) == ["Ye O"]


def test_two_who_would_look_alike_get_more_letters() -> None:
    assert short_names([name("Jo", "Lund"), name("Jo", "Lark"), name("Jo", "Marsh")]) == ["Jo Lu.", "Jo La.", "Jo M."]


def test_two_of_one_name_get_their_marks() -> None:
    assert short_names([name("Jo", "Lund", "41"), name("Jo", "Lund", "77")]) == ["Jo Lund (41)", "Jo Lund (77)"]
    assert full_names([name("Jo", "Lund", "41"), name("jo", "lund", "77")]) == ["Jo Lund (41)", "jo lund (77)"]


def test_an_initial_keeps_its_accent_even_when_it_comes_apart() -> None:
    assert short_names([name("Ana", "E\u0301lan"), name("Bo", "क्षेत्री")]) == ["Ana É.", "Bo क्षे."]


def test_period_ends_a_shortened_right_to_left_name() -> None:
    assert short_names([name("أميرة", "حداد")]) == ["أميرة ح.\u200f"]


def test_names_stand_where_a_reader_looks_for_them() -> None:
    names = ["Zoë", "Łukasz", "Ángel", "Lena", "Amira", "Øyvind", "Olu"]
    assert sorted(names, key=in_order) == ["Amira", "Ángel", "Lena", "Łukasz", "Olu", "Øyvind", "Zoë"]


letters = st.text("abAB ", min_size=1, max_size=4).map(str.strip).filter(bool)


@given(st.lists(st.tuples(letters, letters), min_size=1, max_size=12))
def test_two_people_never_stand_under_one_name(people: list[tuple[str, str]]) -> None:
    marked = [name(given, family, str(number)) for number, (given, family) in enumerate(people)]
    for shown in (short_names(marked), full_names(marked)):
        assert len({key(label) for label in shown}) == len(people)
