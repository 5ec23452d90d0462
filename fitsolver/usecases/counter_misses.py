"""Why a size of the shelf does not fit, short for a table and in a sentence; no search is made."""

from __future__ import annotations

from typing import Final, NamedTuple

from fitsolver.base.lengths import Unit, format_length
from fitsolver.choices.candidates import shelf
from fitsolver.choices.options import choices
from fitsolver.choices.types import CylinderChoices
from fitsolver.explain.misses import miss_sentence
from fitsolver.explain.nearest import Near, nearest
from fitsolver.fits.availability import for_sale
from fitsolver.records.catalogue import Catalogue
from fitsolver.records.job import Job
from fitsolver.records.words import RULE_WORDS

#: Said where a bore is little past the clearance as made, and nothing says how far it may wear.
NO_WEAR_LIMIT: Final = (
    "the clearance is that of new parts; a wear limit is not known: state service_high in the "
    "family's sheet"
)


class Miss(NamedTuple):
    """The obstacle: in short, as a sentence, and the cylinder where there are several.

    `work` is the route that does not cut deep enough. `as_made` says of a bore that is little too
    large for a new piston how far a wear limit takes it.
    """

    short: str = ""
    sentence: str = ""
    cylinder: str = ""
    work: str = ""
    as_made: str = ""


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
    name = state.name if count > 1 else ""
    return Miss(short, sentence, name, work, _as_made(state, worst))


def _as_made(state: CylinderChoices, near: Near) -> str:
    """Return how far the wear limit takes a bore past the clearance as made; "" for any other miss.

    Said of a bore too large by no more than the window is wide, skirt included.
    """
    large = near.floor.rule in ("clean_up", "route_cut") and near.ceiling.rule == "clearance"
    if near.empty or near.refused or not large or near.option.machined:
        return ""
    part, unit = near.option.piston.candidate.part, state.job.unit
    new, kept = (
        state.limits(
            "clearance", part.nominal_bore, None, kept=kept, as_is=True, stated=part.stated
        )
        for kept in (False, True)
    )
    if (
        new.low is None
        or new.high is None
        or near.short_by > part.skirt.high - part.skirt.low + new.high - new.low
    ):
        return ""
    if kept.high is None or kept.high <= new.high:
        return NO_WEAR_LIMIT
    most = format_length(part.skirt.low + kept.high, unit, "down")
    return f"the clearance is that of new parts; the sheet's wear limit takes a bore to {most}"


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
