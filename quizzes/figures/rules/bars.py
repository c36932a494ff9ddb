"""A share with its interval as a bar to draw: a row of a table and its small picture say the same."""

from dataclasses import dataclass

from quizzes.figures.rules.analysis.intervals import in_ten
from shopsafe.language.messages import _

LEFT, WIDTH = 2.0, 276.0  # the drawing is 280 wide; 0 and 1 lie two units inside


def place(share: float) -> str:
    """Return where a share lies in the drawing."""
    return f"{LEFT + WIDTH * share:.1f}"


@dataclass(frozen=True, kw_only=True)
class Bar:
    """A bar as long as the share, and a line with two ends over its 95 % interval."""

    share: float
    low: float
    high: float
    enough: bool = True  # else the bar is dashed

    @property
    def length(self) -> str:
        return f"{max(WIDTH * self.share, 0.5):.1f}"

    @property
    def starts(self) -> str:
        return place(self.low)

    @property
    def ends(self) -> str:
        return place(self.high)

    @property
    def likely(self) -> str:
        """Return the interval in words."""
        low, high = in_ten(self.low, self.high)
        if not self.enough:
            return _("too few to say")
        return (
            _("likely {low} to {high} in 10", low=low, high=high)
            if low < high
            else _("likely about {low} in 10", low=low)
        )


def bar(share: float | None, low: float | None, high: float | None, *, enough: bool = True) -> Bar | None:
    """Return a bar, or None where there is no share."""
    if share is None or low is None or high is None:
        return None
    return Bar(share=share, low=low, high=high, enough=enough)
