"""Why a size of the shelf does not fit, short for a table and in a sentence; no search is made."""

from __future__ import annotations

from typing import Final, NamedTuple

from fitsolver.base.lengths import Unit, format_length
from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices
from fitsolver.explain.misses import miss_sentence
from fitsolver.explain.nearest import Near, nearest
from fitsolver.fits.availability import for_sale
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.words import RULE_WORDS


class Miss(NamedTuple):
    """The obstacle: in short, as a sentence, and the cylinder where there are several.

    `work` is the route that does not cut deep enough.
    """

    short: str = ""
    sentence: str = ""
    cylinder: str = ""
    work: str = ""


NO_MISS: Final = Miss()


def miss(job: Job, parts: Catalogue) -> Miss:
    """Return why no plan of a ready job takes these parts, for the cylinder with the largest miss.

    The parts are those of one size.
    """
    sold, count = for_sale(parts), len(job.cylinders)
    had = sum(sold[part.number] for part in parts.pistons)
    if had < count:
        few = "cannot be had" if not had else f"only {had:.0f} to be had"
        return Miss(few, f"{had:.0f} of {count} pistons of this size can be had")
    rings = shelf(job, parts)
    near = [
        (state, one)
        for state in choices(job, parts, rings)
        if (one := nearest(state, rings.rings)) is not None
    ]
    missing = [(s, n) for s, n in near if n.refused or n.empty or n.short_by]
    if not missing:
        return Miss("not with what is sold", "no choice of the parts that can be had fits")
    state, worst = max(missing, key=lambda item: (item[1].rank[:2], item[0].name))
    short = _short(job.unit, worst)
    rules = list(worst.refused) or list(dict.fromkeys((worst.floor.rule, worst.ceiling.rule)))
    sentence = short if worst.empty else miss_sentence(job.unit, worst, rules)
    too_deep = not worst.empty and not worst.refused and worst.option.machined
    work = worst.option.route.route.name if too_deep and worst.ceiling.rule == "route_cut" else ""
    return Miss(short, sentence, state.name if count > 1 else "", work)


def _short(unit: Unit, near: Near) -> str:
    if near.empty:
        return f"no ring for groove {near.empty[0]}"
    if near.refused:
        return RULE_WORDS[near.refused[0]]
    by = format_length(near.short_by, unit, "up")
    ceiling = near.ceiling.rule
    if ceiling == "route_cut":
        return f"cut {by} too deep" if near.option.machined else f"bore {by} too small"
    if ceiling == "bore_limit":
        return f"{by} over the limit"
    if near.floor.rule in ("clean_up", "route_cut"):
        return f"bore {by} too large"
    return f"{RULE_WORDS[ceiling]} by {by}"
