"""A job as the text of a job file that reads back to the same job."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from fitsolver.base.lengths import Unit, exact_text
from fitsolver.reading.earlier import earlier_sections
from fitsolver.reading.measuring_text import (
    as_read,
    measuring_sections,
    temperatures_section,
)
from fitsolver.reading.quantities import mass_text, money_text, volume_text
from fitsolver.reading.stack_edges import lacking
from fitsolver.reading.toml_text import Number, as_parsed, toml_text
from fitsolver.records.base import THOUSANDTHS
from fitsolver.records.job import Cylinder, Engine, InHand, Job, Terms
from fitsolver.records.readings import PIN, THRUST, PortBand, Reading
from fitsolver.records.rules import LIMITS
from fitsolver.records.windows import FORM_FITS, GROOVE_FITS, Window

_RATIO_PLACES = 9


def job_text(job: Job) -> str:
    """Return a job file (TOML, docs/formats.md) that `read_job` reads to an equal job.

    Lengths are exact, in the job's unit. The fingerprint, which is of the file read, is left
    out, and readings stand in the file itself. Raises ValueError for a job that no file can
    say: a dial reading that is not its gauge's zero plus the deviation, a window for form with
    a lowest value, days that contradict the dates, a repeated reading that is not the mean, a
    guard without a guarded decision, a window on port timing or compression without what it is
    figured from.
    """
    return toml_text(_Writer(job.unit).job(job)).strip() + "\n"


def job_content(job: Job) -> dict[str, Any]:
    """Return the content of the job file that `job_text` returns; raises what that raises."""
    return as_parsed(_Writer(job.unit).job(job))


def _set(**values: Any) -> dict[str, Any]:
    """Return the keys that have something to say (not None, false or empty)."""
    return {
        key: value
        for key, value in values.items()
        if not (value is None or value is False or value in ("", (), []))
    }


class _Writer:
    """Writes records as plain data, lengths in one unit."""

    def __init__(self, unit: Unit) -> None:
        self.unit = unit

    def length(self, ticks: int | None) -> str | None:
        """Return a length as a bare number, or as text where its unit must stand with it."""
        if ticks is None:
            return None
        text = exact_text(ticks, self.unit)
        return text if text.endswith("mm") else Number(text)

    def job(self, job: Job) -> dict[str, Any]:
        return {
            "format": job.format,
            "name": job.name,
            **_set(note=job.note),
            "units": job.unit,
            **({} if job.catalogue is None else {"catalogue": job.catalogue}),
            **_set(family=job.family, use=job.use),
            **_set(no_window=[opened.text for opened in job.no_window], accept=list(job.accept)),
            "convention": job.convention,
            "best": list(job.best),
            **_set(wear_per_rebuild=self.length(job.wear_per_rebuild)),
            "finish": {"how": job.finishing, **_set(routes=list(job.routes))},
            **_set(
                engine=self.engine(job.engine),
                terms=self.terms(job.terms),
                window=tuple(self.window(window) for window in job.windows if not window.part),
                gasket_place=tuple(
                    {"place": p.place, "least": p.least, "most": p.most, "shared": p.shared}
                    for p in job.gaskets
                ),
                in_hand=tuple(self.held(held) for held in job.in_hand),
                same_size=tuple({"cylinders": list(s.cylinders)} for s in job.same_size),
                mass_match=tuple(
                    {
                        "cylinders": list(m.cylinders),
                        "limit": mass_text(m.limit),
                        **_set(source=m.source),
                    }
                    for m in job.mass_match
                ),
            ),
            **measuring_sections(job.measuring, self.length),
            "cylinder": tuple(self.cylinder(c, job) for c in job.cylinders),
        }

    def engine(self, engine: Engine) -> dict[str, Any] | None:
        limit, chamber = engine.displacement_limit, engine.chamber_volume
        return (
            _set(
                stroke=self.length(engine.stroke),
                pin_diameter=self.length(engine.pin_diameter),
                displacement_limit=None if limit is None else volume_text(limit),
                other_bores=[self.length(bore) for bore in engine.other_bores],
                **{limit.key: self.length(getattr(engine, limit.key)) for limit in LIMITS},
                rod_length=self.length(engine.rod_length),
                chamber_volume=None if chamber is None else volume_text(chamber),
                rise=None
                if engine.rise is None
                else {key: value for key, value in engine.rise.model_dump().items() if value != ""},
            )
            or None
        )

    def terms(self, terms: Terms) -> dict[str, Any] | None:
        days, start, end = terms.needed_in_days, terms.order_date, terms.needed_by
        if end is not None and (start is None or days != (end - start).days):
            raise ValueError("the days needed in contradict the dates")
        return (
            _set(
                order_date=start,
                needed_by=end,
                needed_in_days=days if end is None else None,
                budget=None if terms.budget is None else money_text(terms.budget),
            )
            or None
        )

    def window(self, window: Window) -> dict[str, Any]:
        only_high = (window.low, window.service_low, window.service_high) == (None, None, None)
        if window.fit in FORM_FITS and not only_high:
            raise ValueError(f"a window for {window.fit} has only a highest value")
        if window.fit not in GROOVE_FITS and window.groove is not None:
            raise ValueError(f"a window for {window.fit} has no groove")
        edge = self.ratio if window.per_bore else self.length
        if window.fit in THOUSANDTHS:
            edge = self.thousandths
        return {
            "fit": window.fit,
            **_set(
                low=edge(window.low),
                high=edge(window.high),
                service_low=edge(window.service_low),
                service_high=edge(window.service_high),
                per_bore=window.per_bore,
                groove=window.groove,
                port=window.port,
                guard=self.length(window.guard or None),
                aim=self.length(window.aim or None),
                source=window.source,
                yields=window.yields,
            ),
        }

    @staticmethod
    def ratio(parts: int | None) -> Number | None:
        return None if parts is None else Number(f"{Decimal(parts).scaleb(-_RATIO_PLACES):f}")

    @staticmethod
    def thousandths(parts: int | None) -> Number | None:
        return None if parts is None else Number(f"{Decimal(parts).scaleb(-3):f}")

    def held(self, held: InHand) -> dict[str, Any]:
        if held.gap_most is not None and (held.gap is None or held.gap_most <= held.gap):
            raise ValueError("the blade that does not go is thicker than the one that goes")
        return {
            "number": held.number,
            **_set(
                count=held.count,
                size=self.length(held.size),
                mass=None if held.mass is None else mass_text(held.mass),
                gap=self.length(held.gap),
                gap_next=self.length(held.gap_most),
                gap_bore=self.length(held.gap_bore),
                kept=held.kept,
                cylinder=held.cylinder,
            ),
        }

    def cylinder(self, cylinder: Cylinder, job: Job) -> dict[str, Any]:
        c = cylinder
        lack = lacking(job.engine, c, job.windows_for(c))
        if lack is not None:
            raise ValueError(f"cylinder '{c.name}': {lack.message}: {lack.allowed}")
        return {
            "name": c.name,
            "material": c.material,
            **_set(
                marking=c.marking,
                scratch=self.length(c.scratch or None),
                unworn=self.length(c.unworn),
                wear_per_rebuild=self.length(c.wear_per_rebuild),
                form_allowance=self.length(c.form_allowance or None),
                read_by=c.read_by,
                **{own.key: self.length(getattr(c, own.key)) for own in LIMITS if own.own},
                routes=list(c.routes),
                route=c.route,
                piston=c.piston,
                piston_size=self.length(c.piston_size),
                piston_mass=None if c.piston_mass is None else mass_text(c.piston_mass),
                piston_kept=c.piston_kept,
                rings=[ring.model_dump() for ring in c.rings],
                finished_size=self.length(c.finished_size),
                finished_half_width=self.length(c.finished_half_width or None),
            ),
            **self.zero(c),
            **_set(
                readings=[self.reading(one, c) for r in c.readings for one in as_read(r)],
                zone=None if c.zone is None else self.band(c.zone.top, c.zone.bottom),
                squish=None
                if c.squish is None
                else {
                    "base_low": self.length(c.squish.base_low),
                    "base_high": self.length(c.squish.base_high),
                    **_set(
                        head_step=self.length(c.squish.head_step or None),
                        squish_before=self.length(c.squish.squish_before),
                        deck_before=self.length(c.squish.deck_before),
                    ),
                },
                temperatures=temperatures_section(
                    c.temperatures, job.measuring.temperatures if job.measuring else None
                ),
                port=tuple(self.port(port) for port in c.ports),
                window=tuple(self.window(window) for window in c.windows if not window.part),
                earlier=earlier_sections(c.earlier, self.length),
            ),
        }

    def zero(self, cylinder: Cylinder) -> dict[str, Any]:
        zero = cylinder.zero
        if zero is None:
            return {}
        size = self.length(zero.size)
        return {"zero": "piston", "zero_piston": size} if zero.on_piston else {"zero": size}

    def reading(self, reading: Reading, cylinder: Cylinder) -> dict[str, Any]:
        axis: str | int = {THRUST: "thrust", PIN: "pin"}.get(reading.angle, reading.angle)
        found = {"depth": self.length(reading.depth), "axis": axis}
        if reading.dial is None:
            return {**found, "size": self.length(reading.size)}
        if cylinder.zero is None or cylinder.zero.size + reading.dial != reading.size:
            raise ValueError(
                f"cylinder '{cylinder.name}': a dial reading is not the zero plus its deviation"
            )
        return {**found, "dial": self.length(reading.dial)}

    def port(self, port: PortBand) -> dict[str, Any]:
        return {"name": port.name, **self.band(port.top, port.bottom), "decides": port.decides}

    def band(self, top: int, bottom: int) -> dict[str, Any]:
        return {"top": self.length(top), "bottom": self.length(bottom)}
