"""The rules: one record each, from which every list of rules is read (docs/decision.md).

What a rule demands of a choice is in `fitsolver.choices.demands`, what it posts beside that in
`fitsolver.solving.build`, its check in `fitsolver.checking.rules`, its sentence in
`fitsolver.explain.sentences` (of rules that join cylinders in `fitsolver.explain.job_reasons`).
"""

from __future__ import annotations

from typing import Final, Literal, NamedTuple, get_args

RuleId = Literal[
    "clean_up",
    "route_cut",
    "clearance",
    "end_gap",
    "ring_seat",
    "side_clearance",
    "squish",
    "port_timing",
    "compression",
    "form",
    "bore_limit",
    "displacement",
    "compatibility",
    "same_size",
    "mass_match",
    "availability",
]

FitName = Literal[
    "clearance",
    "end_gap",
    "ring_seat",
    "side_clearance",
    "squish",
    "port_timing",
    "compression",
    "out_of_round",
    "taper",
]
FITS: Final[tuple[FitName, ...]] = get_args(FitName)
#: Fits that are no lengths: thousandths of a degree of crank, and of a ratio.
THOUSANDTHS: Final[tuple[FitName, ...]] = ("port_timing", "compression")

#: What a change that opens a job changes (docs/why.md).
ChangeKind = Literal[
    "window",
    "piston",
    "ring",
    "bore limit",
    "route",
    "part",
    "mass",
    "budget",
    "days",
    "displacement",
    "same size",
    "gasket",
    "stack",
    "gauge",
    "pair",
    "several",
]

#: A local rule is kept or broken by one cylinder, a coupling one by several together.
Scope = Literal["local", "coupling"]
#: When the verdict on a part set in a bore as it is shows a rule.
AtCounter = Literal["always", "where it asks", "never"]


class Limit(NamedTuple):
    """A largest size that a job may state for a rule: a length above 0, on diameter.

    `key` is its name in [engine], and in a cylinder where `own` lets one have its own;
    `kind` is what a change of it is called. A new job file shows it with an `example` and what
    it `means`.
    """

    key: str
    kind: ChangeKind
    example: str
    means: str
    own: bool = False


class Rule(NamedTuple):
    """What is known of a rule before anything is worked out.

    `title` says in the trade's words what it is about, `refuses` what it refuses, `label` is
    what tables call it, `words` what sentences do. `fits` are those whose windows it holds.
    """

    id: RuleId
    label: str
    title: str
    refuses: str
    scope: Scope = "local"
    fits: tuple[FitName, ...] = ()
    limit: Limit | None = None
    at_counter: AtCounter = "where it asks"
    in_sentences: str = ""

    @property
    def words(self) -> str:
        return self.in_sentences or self.id.replace("_", " ")

    @property
    def page(self) -> str:
        """Its page of the documentation, from docs/."""
        return f"rules/{self.id}.md"


#: Every rule by its id, in the order in which rules are posted and told.
REGISTRY: Final[dict[RuleId, Rule]] = {
    rule.id: rule
    for rule in (
        Rule(
            "clean_up",
            "clean-up",
            "a machined bore cleans up everywhere",
            "a finish size that leaves worn or scratched metal in the bore",
            at_counter="always",
            in_sentences="clean-up",
        ),
        Rule(
            "route_cut",
            "depth of cut",
            "the route is for the material and cuts that far",
            "a cut deeper than the route makes, and a route for other materials",
            at_counter="never",
            in_sentences="depth of cut",
        ),
        Rule(
            "clearance",
            "clearance",
            "bore minus skirt",
            "a skirt too tight or too loose in its bore",
            fits=("clearance",),
        ),
        Rule(
            "end_gap",
            "end gap",
            "gap of the ring in the bore, and filing",
            "a ring whose ends come too close, even when filed, or stay too far apart",
            fits=("end_gap",),
        ),
        Rule(
            "ring_seat",
            "ring over bore",
            "the ring is not made for a much larger bore",
            "a ring made for a bore too much larger, or too much smaller",
            fits=("ring_seat",),
            in_sentences="ring over bore",
        ),
        Rule(
            "side_clearance",
            "side clearance",
            "ring in its groove",
            "a ring too tight or too loose in its groove",
            fits=("side_clearance",),
        ),
        Rule(
            "squish",
            "squish",
            "piston to head",
            "a stack of gaskets that puts the piston too near the head, or too far from it",
            fits=("squish",),
        ),
        Rule(
            "port_timing",
            "port timing",
            "when the crown uncovers a port",
            "a stack under the cylinder with which a port opens too early or too late",
            fits=("port_timing",),
        ),
        Rule(
            "compression",
            "compression ratio",
            "compression ratio with the stack and the bore",
            "a stack and a bore that compress too much or too little",
            fits=("compression",),
        ),
        Rule(
            "form",
            "form",
            "out-of-round and taper of a bore left as it is",
            "leaving a bore as it is that is out of round or tapered beyond its window",
            fits=("out_of_round", "taper"),
        ),
        Rule(
            "bore_limit",
            "bore limit",
            "largest permitted bore",
            "a bore larger than its wall, liner or plating allows",
            limit=Limit(
                "bore_limit",
                "bore limit",
                "63.1 mm",
                "largest bore (wall, liner, plating)",
                own=True,
            ),
        ),
        Rule(
            "displacement",
            "displacement",
            "class or licence limit",
            "bores that together displace more than the class or licence allows",
            scope="coupling",
            at_counter="never",
        ),
        Rule(
            "compatibility",
            "compatibility",
            "pin diameter, groove, ring depth",
            "a piston for another pin, and a ring deeper than its groove",
            at_counter="always",
        ),
        Rule(
            "same_size",
            "same size",
            "one oversize in a set",
            "pistons of different oversizes in one set",
            scope="coupling",
            at_counter="never",
        ),
        Rule(
            "mass_match",
            "mass match",
            "masses in a set",
            "pistons of a set that differ too much in mass",
            scope="coupling",
            at_counter="never",
        ),
        Rule(
            "availability",
            "availability",
            "to be had, in time, in budget",
            "parts that cannot be had, come too late or cost too much",
            scope="coupling",
            at_counter="always",
        ),
    )
}
RULES: Final[tuple[RuleId, ...]] = tuple(REGISTRY)
#: Rules that one cylinder keeps or breaks by itself; the others join cylinders.
LOCAL: Final = frozenset(rule.id for rule in REGISTRY.values() if rule.scope == "local")
#: The rule that holds a fit to its window.
RULE_OF: Final[dict[FitName, RuleId]] = {
    fit: rule.id for rule in REGISTRY.values() for fit in rule.fits
}
#: The largest sizes that a job may state.
LIMITS: Final[tuple[Limit, ...]] = tuple(
    rule.limit for rule in REGISTRY.values() if rule.limit is not None
)
