"""The figures for a program: JSON with numbers, None where the answers can't carry one, and the reason beside it."""

from collections.abc import Mapping, Sequence
from typing import Any

from quizzes.figures.rules.analysis import rasch, rasch_fit
from quizzes.figures.rules.analysis.facts import ItemFigures, OptionFigures, Picks, Responses, TestFigures
from quizzes.figures.rules.analysis.flags import Flag, Review
from quizzes.figures.rules.analysis.items import analyse
from quizzes.figures.rules.analysis.options import option_tables

Data = dict[str, Any]

ITEM = ("name", "n", "p", "p_low", "p_high", "r_pb", "r_rest", "d27", "alpha_if_deleted")
OPTION = ("code", "n", "share", "share_low", "share_high", "r_rest", "mean_rest")
WHOLE = ("n", "k", "answers", "mean", "variance", "kr20", "kr21", "sem", "livingston", "huynh_p0", "huynh_kappa")


def analysis_data(responses: Responses, picks: Picks | None = None) -> Data:
    """Return all figures of a set of answers. `picks` adds the options of each question."""
    figures = analyse(responses)
    data = test_data(figures)
    if picks:
        for item, options in zip(data["items"], option_tables(picks), strict=True):
            item["options"] = [option_data(option) for option in options]
    return data | {"rasch": scale_data(responses)}


def test_data(figures: TestFigures) -> Data:
    return {
        **{name: getattr(figures, name) for name in WHOLE},
        "complete": figures.complete,
        **_reasons(figures.reasons),
        "items": [item_data(item) for item in figures.items],
    }


def item_data(item: ItemFigures) -> Data:
    return {name: getattr(item, name) for name in ITEM} | _reasons(item.reasons)


def option_data(option: OptionFigures) -> Data:
    return {**{name: getattr(option, name) for name in OPTION}, "key": option.is_key, **_reasons(option.reasons)}


def _reasons(reasons: Mapping[str, str]) -> Data:
    return {"reasons": dict(reasons)} if reasons else {}


def scale_data(responses: Responses, families: Mapping[str, Sequence[str]] | None = None) -> Data:
    """Return the Rasch scale with its fit. `families`, such as the questions of each rule, are tested for one kind."""
    model = rasch.fit(responses)
    fits = {fit.name: fit for fit in rasch_fit.item_fits(responses, model)}
    return {
        "spread": model.spread,
        "spread_se": model.spread_se,
        "log_likelihood": model.log_likelihood,
        **({"reason": model.reason} if model.reason else {}),
        "items": [_scale_item(item, fits[item.name]) for item in model.items],
        **({"equally_hard": _alike(model, families)} if families else {}),
    }


def _scale_item(item: rasch.RaschItem, fit: rasch_fit.ItemFit) -> Data:
    return {
        "name": item.name,
        "difficulty": item.difficulty,
        "se": item.se,
        "infit": fit.infit,
        "infit_p": fit.infit_p,
        "outfit": fit.outfit,
        "outfit_p": fit.outfit_p,
        **({"reason": item.reason or fit.reason} if item.reason or fit.reason else {}),
    }


def _alike(model: rasch.RaschFit, families: Mapping[str, Sequence[str]]) -> list[Data]:
    tested = ((name, rasch.equally_hard(model, tuple(questions))) for name, questions in families.items())
    return [{"family": name, "p_value": p_value} for name, p_value in tested if p_value is not None]


def review_data(review: Review) -> Data:
    return {
        "flags": [flag_data(flag) for flag in review.flags],
        "flags_by_chance_at_most": review.by_chance,
        "judged": list(review.judged),
        "not_judged": dict(review.too_few),
    }


def flag_data(flag: Flag) -> Data:
    return {
        "flag": flag.code,
        "question": flag.question,
        "p_value": flag.p_value,
        "q_value": flag.q_value,
        **({"option": flag.option} if flag.option else {}),
    }
