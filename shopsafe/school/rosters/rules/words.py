"""The headings of class lists in a few languages, and what a column under them holds."""

import re
import unicodedata
from typing import Literal

from shopsafe.school.rosters.rules.facts import ColumnRole


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# Spelt without accents, spaces and signs. English first, then French, German, Spanish, Portuguese, Italian, Dutch,
# Polish. Common usage, from memory.
WHOLE = _words(
    """
    name names student students studentname studentsname nameofstudent fullname pupil pupilname learner learnername
    studentfullname nomcomplet nometprenom nomprenom prenometnom eleve nomdeleleve vollername schuler schulername
    namedesschulers nombrecompleto nombreyapellidos apellidosynombre apellidosynombres alumno alumna estudiante
    nomecompleto nomedoaluno aluno nomecognome cognomenome volledigenaam naam leerling imieinazwisko uczen
    """
)
GIVEN = _words(
    """
    firstname first given givenname givennames forename forenames studentfirstname legalfirstname preferredname
    prenom prenoms vorname vornamen nombres primeironome voornaam imie
    """
)
FAMILY = _words(
    """
    lastname last surname family familyname studentlastname legallastname nomdefamille nachname familienname zuname
    apellido apellidos sobrenome apelido cognome achternaam nazwisko
    """
)
# A whole name on its own, one half of it beside the other half.
FAMILY_BESIDE_GIVEN = frozenset(["nom", "name"])
GIVEN_BESIDE_FAMILY = frozenset(["nombre", "nome"])
ID = _words(
    """
    id ids stuid stunumber stuno stunum permid permidnumber permnumber permno permanentid permanentidnumber
    permanentnumber districtid districtnumber localidnumber localnumber studentlocalid sis
    studentid studentsid studentnumber studentno studentnr studentidnumber idnumber idno localid schoolid
    pupilid pupilnumber learnerid learnernumber sisid numero numeroeleve numerodeleleve identifiant matricule
    schulernummer schulerid nummer ausweisnummer matricula numerodealumno numerodematricula identificador codigo
    numerodoaluno matricola leerlingnummer numerucznia
    """
)
# A student number or a running number: what stands below decides.
PERHAPS_ID = frozenset(["no", "nr", "num", "number", "n"])
CLASS = _words(
    """
    class classes period section group course homeroom room block classe groupe klasse gruppe clase grupo turma
    classname coursename klas groep klasa
    """
)
NOTE = _words(
    """
    note notes comment comments remark remarks remarque remarques commentaire bemerkung bemerkungen nota notas
    observaciones observacoes opmerking opmerkingen uwagi
    """
)


def heading_key(heading: str) -> str:
    """A heading without case, accents, spaces and signs: "Student ID" and "student-id" are one. A number sign beside
    letters is read as the word: "Stu #" is "stunumber"."""
    plain = unicodedata.normalize("NFKD", heading.casefold().replace("№", "#"))
    plain = plain.replace("#", "number") if any(letter.isalpha() for letter in plain) else plain
    return re.sub(r"[\W_]", "", "".join(c for c in plain if not unicodedata.combining(c)))


# What a heading says of its column: perhaps the student number, or nothing.
type HeadingRole = ColumnRole | Literal["perhaps-id", ""]


def roles_of(headings: list[str]) -> list[HeadingRole]:
    """What each heading says of its column."""
    keys = [heading_key(heading) for heading in headings]
    some_given = any(key in GIVEN for key in keys)
    some_family = any(key in FAMILY for key in keys)
    return [_role(key, heading, some_given, some_family) for key, heading in zip(keys, headings, strict=True)]


def _role(key: str, heading: str, some_given: bool, some_family: bool) -> HeadingRole:
    if key in FAMILY or (key in FAMILY_BESIDE_GIVEN and some_given and not some_family):
        return "family"
    if key in GIVEN or (key in GIVEN_BESIDE_FAMILY and some_family and not some_given):
        return "given"
    if key in WHOLE | FAMILY_BESIDE_GIVEN | GIVEN_BESIDE_FAMILY:
        return "name"
    if key in ID:
        return "id"
    if key in PERHAPS_ID or heading.strip() in ("#", "№"):
        return "perhaps-id"
    return "class" if key in CLASS else "note" if key in NOTE else ""
