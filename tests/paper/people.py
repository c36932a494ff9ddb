"""Invented people for prints: short names, long names, accents."""

from shopsafe.paper.rules.names import Name

PEOPLE = """
Amira Kowal, Bartholomew Okonta, Carys Pritch, Dmitri Volkin, Esperanza Villanova, Fionnuala Sherwin, Grzegorz Brzęczyk,
Hồng Nguyễn, Idris Abarra, Jo Lund, Keziah Brightwater, Łukasz Wiśnik, Maximiliano Estévan, Noor Ansar,
Oluwaseun Adeyem, Priya Raman, Quentin Thibod, Rosalind Marsh, Søren Østerby, Thandiwe Mokoa, Uma Delacour,
Víctor Hugo-Lindmark, Wilhelmina Ashgrove, Xiadani Ixtlil, Yusuf Demirel, Zoë Papadak, Ángel Ferrer, Brónach Quinlan,
Chukwuemeka Ezeh, Daniela Ilves, Émile Garnier, Farouk Haddad, Giulia Bianco, Henrike Vogel, Iñaki Etxeb, Jorunn Solheim
"""
GIVEN, FAMILY = zip(*(person.split() for person in PEOPLE.split(",")), strict=True)


def people(count: int, *, long: bool = False) -> tuple[Name, ...]:
    """Up to 36 people; `long` gives them double first and family names."""
    names = []
    for index, (given, family) in enumerate(zip(GIVEN[:count], FAMILY[:count], strict=True)):
        first = f"{given}-{GIVEN[index - 1]}" if long else given
        last = f"{family}-{FAMILY[index - 1]}" if long else family
        names.append(Name(f"{first} {last}", first, last, str(index)))
    return tuple(names)
