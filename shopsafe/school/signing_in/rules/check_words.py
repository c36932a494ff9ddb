"""The check word of the day: a student says it, the teacher sees it on the tile, and so the right one is signed off.

It tells two students of one name apart; it is no secret and opens nothing. A rule: the secret is handed in.
"""

import hashlib
import hmac
from datetime import date

# Words of the trade, easy to say and hard to mishear for one another.
WORDS = (  # noqa: SIM905  as a list it would be 180 lines
    "anvil apron arbor auger awl bark batten beam bevel birch bobbin bolt bracket brass brush bushing caliper cedar "
    "chalk cherry chisel chuck clamp cleat collar compass copper cork crate cutter dado divider dowel drawer easel "
    "elm fence ferrule file fillet flange funnel gasket gauge gimlet girder glue gouge grain groove hammer handle "
    "hanger hatch hickory hinge hook jig joist kerf knot ladder lamp larch latch lathe ledge lever lumber magnet "
    "mallet maple marble marker mitre mortar muntin nail needle nickel notch oak oilcan paddle panel pattern pencil "
    "pewter pillar pine pivot plank plinth plumb plywood pocket poplar primer pulley punch putty rabbet rafter rail "
    "ratchet resin ribbon rivet rope rosin router rubber ruler sandbag scale scraper screw scribe sextant shaft shelf "
    "shim shingle sieve socket solder spanner spindle spline sprocket square stencil stool string stud tackle tarp "
    "teak template tenon thimble thread timber tinder toggle tongs tongue trammel trestle trowel turret twine varnish "
    "veneer vise walnut washer wedge wheel whistle willow winch wrench zinc"
).split()


def check_word(student: int, day: date, secret: str) -> str:
    """The word of one student on one day; the same all day, another tomorrow."""
    digest = hmac.new(secret.encode(), f"bench word {student} {day.isoformat()}".encode(), hashlib.sha256).digest()
    return WORDS[int.from_bytes(digest[:8]) % len(WORDS)]
