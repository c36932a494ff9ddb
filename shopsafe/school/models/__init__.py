"""Schools and the people in them."""

from shopsafe.school.models.devices import KnownDevice, WrongCodes
from shopsafe.school.models.here_today import AwayStudent, HereToday
from shopsafe.school.models.imports import RosterImport
from shopsafe.school.models.jobs import Job
from shopsafe.school.models.keeping import Keeping
from shopsafe.school.models.people import Enrollment, Person, PersonManager, StudentDocument
from shopsafe.school.models.places import School, Section, Shop, Term
from shopsafe.school.models.sessions import Session
from shopsafe.school.models.taps import Tap
from shopsafe.school.models.timetable import DayCycle, DayOff, MeetingTime
from shopsafe.school.models.words import SheetWords

__all__ = [
    "AwayStudent",
    "DayCycle",
    "DayOff",
    "Enrollment",
    "HereToday",
    "Job",
    "Keeping",
    "KnownDevice",
    "MeetingTime",
    "Person",
    "PersonManager",
    "RosterImport",
    "School",
    "Section",
    "Session",
    "SheetWords",
    "Shop",
    "StudentDocument",
    "Tap",
    "Term",
    "WrongCodes",
]
