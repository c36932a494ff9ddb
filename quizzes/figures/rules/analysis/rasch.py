"""How hard each question is on one scale, though students met different questions: the Rasch model.

The chance that a student of ability θ is right at a question of difficulty b is 1/(1 + exp(b − θ)) (Rasch 1960). Fitted
by marginal maximum likelihood: abilities are normal with mean 0 and a standard deviation that is estimated too; the
likelihood is integrated by Gauss–Hermite quadrature (Bock & Aitkin 1981, Psychometrika 46:443; Thissen 1982,
Psychometrika 47:175). An empty cell adds nothing to the likelihood. This is right as long as the questions are not
chosen by how able the student is, as in a first attempt; on later ones it would not be.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from quizzes.figures.rules.analysis.facts import Floats, Responses
from quizzes.figures.rules.analysis.items import ALL_RIGHT, NONE_RIGHT
from quizzes.figures.rules.analysis.reliability import NO_ANSWERS
from shopsafe.language.messages import _, marked

POINTS = 41
STEP = 1e-4  # of the differences that give the information matrix
FEW = marked("it needs two questions that some students got right and some got wrong")
MOST_QUESTIONS, MOST_CELLS = 400, 3_000_000  # a search over more takes minutes
TOO_LARGE = marked("more than {questions} questions or {cells} cells")
NO_MAXIMUM = marked("the search for the best fit did not end")


@dataclass(frozen=True, kw_only=True)
class RaschItem:
    """One question on the common scale. `difficulty` is in logits; 0 is a question that half of all students get right
    if the average one does."""

    name: str
    n: int
    difficulty: float | None
    se: float | None
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class RaschFit:
    """The questions on one scale, and how far students differ on it."""

    items: tuple[RaschItem, ...]
    spread: float | None = None  # standard deviation of the students' abilities, in logits
    spread_se: float | None = None
    log_likelihood: float | None = None
    covariance: Floats = field(default_factory=lambda: np.zeros((0, 0)), repr=False)  # of all difficulties; NaN if none
    reason: str = ""

    @property
    def by_name(self) -> Mapping[str, RaschItem]:
        return {item.name: item for item in self.items}


def fit(responses: Responses) -> RaschFit:
    """Return the maximum-likelihood difficulties, their standard errors and the spread of the students.

    Standard errors come from the observed information. A question that everyone or no one got right has no finite
    difficulty and is left out, with its reason; so is the whole model if fewer than two questions remain.
    """
    cells = responses.cells
    met, right = (cells >= 0).sum(axis=0), (cells == 1).sum(axis=0)
    usable = (right > 0) & (right < met)
    reasons = [_why_not(n, hits) for n, hits in zip(met.tolist(), right.tolist(), strict=True)]
    too_large = cells.shape[1] > MOST_QUESTIONS or cells.size > MOST_CELLS
    if too_large or usable.sum() < 2:
        return _no_fit(responses.names, met.tolist(), reasons, _too_large() if too_large else FEW)
    model = _Model(cells[:, usable])
    parameters, ended = model.maximum()
    if not ended:
        return _no_fit(responses.names, met.tolist(), reasons, NO_MAXIMUM)
    covariance = model.covariance(parameters)
    errors = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    places = {int(place): turn for turn, place in enumerate(np.flatnonzero(usable))}
    values = {place: (-float(parameters[turn]), float(errors[turn])) for place, turn in places.items()}
    whole = np.full((len(met), len(met)), np.nan)
    whole[np.ix_(usable, usable)] = covariance[:-1, :-1]
    return RaschFit(
        items=_items(responses.names, met.tolist(), reasons, values),
        spread=abs(float(parameters[-1])),
        spread_se=float(errors[-1]),
        log_likelihood=model.log_likelihood(parameters),
        covariance=whole,
    )


def _too_large() -> str:
    return _(TOO_LARGE, questions=MOST_QUESTIONS, cells=f"{MOST_CELLS:,}")


def _no_fit(names: tuple[str, ...], met: list[int], reasons: list[str], reason: str) -> RaschFit:
    return RaschFit(items=_items(names, met, [why or reason for why in reasons], {}), reason=reason)


def _why_not(met: int, right: int) -> str:
    if not met:
        return NO_ANSWERS
    return ALL_RIGHT if right == met else NONE_RIGHT if not right else ""


def _items(
    names: tuple[str, ...], met: list[int], reasons: list[str], values: Mapping[int, tuple[float, float]]
) -> tuple[RaschItem, ...]:
    nothing = (None, None)
    return tuple(
        RaschItem(
            name=name,
            n=met[place],
            difficulty=values.get(place, nothing)[0],
            se=values.get(place, nothing)[1],
            reason="" if place in values else reasons[place],
        )
        for place, name in enumerate(names)
    )


class _Model:
    """The likelihood of answers. Parameters: an easiness for each question (−difficulty), then the spread."""

    def __init__(self, cells: np.ndarray[tuple[int, int], np.dtype[np.int8]]) -> None:
        patterns, counts = np.unique(cells, axis=0, return_counts=True)
        self.counts: Floats = counts.astype(np.float64)
        self.met: Floats = (patterns >= 0).astype(np.float64)
        self.right: Floats = (patterns == 1).astype(np.float64)
        self.totals: Floats = self.right.sum(axis=1)
        self.points, weights = np.polynomial.hermite_e.hermegauss(POINTS)
        self.log_weights: Floats = np.log(weights / weights.sum())

    def _posterior(self, parameters: Floats) -> tuple[Floats, Floats, Floats]:
        """Return (log-likelihood of each pattern, weight of each ability given the pattern, chances of right)."""
        easiness, spread = parameters[:-1], parameters[-1]
        logits = easiness[:, None] + spread * self.points  # questions × points
        joint = (
            (self.right @ easiness)[:, None]
            + self.totals[:, None] * (spread * self.points)
            - self.met @ np.logaddexp(0.0, logits)
            + self.log_weights
        )
        top = joint.max(axis=1, keepdims=True)
        marginal = top[:, 0] + np.log(np.exp(joint - top).sum(axis=1))
        return marginal, np.exp(joint - marginal[:, None]), 1 / (1 + np.exp(-logits))

    def log_likelihood(self, parameters: Floats) -> float:
        return float(self.counts @ self._posterior(parameters)[0])

    def downhill(self, parameters: Floats) -> tuple[float, Floats]:
        """Return (−log-likelihood, its gradient), which is its mean over the posterior (Fisher's identity)."""
        marginal, posterior, chances = self._posterior(parameters)
        expected = posterior @ chances.T * self.met
        easiness = self.counts @ (self.right - expected)
        at_points = self.met @ chances  # patterns × points: the expected number right
        spread = self.counts @ ((posterior * self.points) * (self.totals[:, None] - at_points)).sum(axis=1)
        return -float(self.counts @ marginal), -np.append(easiness, spread)

    def start(self) -> Floats:
        weight = self.counts @ self.met
        share = (self.counts @ self.right + 0.5) / (weight + 1)
        return np.append(np.log(share / (1 - share)), 1.0)

    def maximum(self) -> tuple[Floats, bool]:
        """Return the best parameters, and whether the search ended at a maximum."""
        from scipy.optimize import minimize  # it takes a while to import, and pages need no search

        best = minimize(self.downhill, self.start(), jac=True, method="BFGS", options={"gtol": 1e-6, "maxiter": 500})
        size = float(np.abs(best.jac).max())
        return best.x, bool(np.isfinite(best.fun)) and size < 1e-3 * max(1.0, float(self.counts.sum()) ** 0.5)

    def covariance(self, parameters: Floats) -> Floats:
        """Return the inverse of the observed information: central differences of the exact gradient."""
        count = len(parameters)
        information = np.empty((count, count))
        for place in range(count):
            step = np.zeros(count)
            step[place] = STEP
            up, down = self.downhill(parameters + step)[1], self.downhill(parameters - step)[1]
            information[place] = (up - down) / (2 * STEP)
        return np.linalg.pinv((information + information.T) / 2, hermitian=True)


# ---- what follows from the scale -------------------------------------------------------------------------------------


def expected_share(difficulties: Floats, spread: float) -> float:
    """Return the share right to expect from all students on a form of these questions: how easy the form is."""
    points, weights = np.polynomial.hermite_e.hermegauss(POINTS)
    chances = 1 / (1 + np.exp(difficulties[:, None] - spread * points))
    return float(chances.mean(axis=0) @ (weights / weights.sum()))


def equally_hard(model: RaschFit, names: tuple[str, ...]) -> float | None:
    """Return the p-value of "these questions are equally hard" (Wald test); None if fewer than two have a place.

    Of one rule's questions, a low value says that they are not of a kind: one may be answered without the rule.
    """
    places = [place for place, item in enumerate(model.items) if item.name in names and item.difficulty is not None]
    if len(places) < 2:
        return None
    values = np.array([model.items[place].difficulty for place in places], np.float64)
    contrast = np.hstack([np.ones((len(places) - 1, 1)), -np.eye(len(places) - 1)])
    gaps = contrast @ values
    spread = contrast @ model.covariance[np.ix_(places, places)] @ contrast.T
    return _chi_squared_tail(float(gaps @ np.linalg.pinv(spread, hermitian=True) @ gaps), len(gaps))


def _chi_squared_tail(value: float, freedom: int) -> float:
    from scipy.special import chdtrc  # as above

    return float(chdtrc(freedom, value))
