"""Schools and the people in them."""

from .people import Enrolment, Person, PersonManager, SafetyAgreement
from .places import School, Section, Shop, Term

__all__ = ["Enrolment", "Person", "PersonManager", "SafetyAgreement", "School", "Section", "Shop", "Term"]
