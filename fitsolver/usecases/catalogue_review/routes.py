"""Doubtful routes: impossible cuts, holes between them, no way to restore a bore."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from fitsolver.fits.route_cut import takes_material
from fitsolver.records.catalogue import Route
from fitsolver.records.review import Doubt
from fitsolver.usecases.catalogue_review.look import Look, doubt

ANY: Final = ""  # stands for a material that no route names


def cuts(look: Look) -> Iterator[Doubt]:
    """Routes that cannot be used, or hold a size better than any machine does."""
    for route in look.catalogue.routes:
        if route.max_cut is not None and route.max_cut < route.min_cut and route.machined:
            text = f"largest cut {look.show(route.max_cut)} is below the least, "
            yield doubt("routes", route.name, "max_cut", text + look.show(route.min_cut), "serious")
        if route.machined and route.half_width == 0:
            text = "size held to ±0: no machine holds a size exactly"
            yield doubt("routes", route.name, "half_width", text)
        if not route.machined and (route.half_width or route.max_cut or route.min_cut):
            text = "a bore left as it is has no cut and no size to hold"
            yield doubt("routes", route.name, "kind", text)


def holes(look: Look) -> Iterator[Doubt]:
    """Cuts between two routes for one material that neither of them can take."""
    routes = [route for route in look.catalogue.routes if _cutting(route)]
    found: dict[tuple[str, int], list[str]] = {}
    for material in sorted({name for route in routes for name in route.materials} or {ANY}):
        fitting = sorted(
            (route for route in routes if takes_material(route, material)),
            key=lambda route: route.min_cut,
        )
        reached: int | None = fitting[0].max_cut if fitting else None
        for route in fitting:
            if reached is None:
                break
            if route.min_cut > reached:
                found.setdefault((route.name, reached), []).append(material)
            reached = None if route.max_cut is None else max(reached, route.max_cut)
    least = {route.name: route.min_cut for route in routes}
    for (name, reached), materials in found.items():
        text = f"no route cuts between {look.show(reached)} and {look.show(least[name])}"
        text += f" ({', '.join(materials)})" if materials != [ANY] else ""
        yield doubt("routes", name, "min_cut", text)


def _cutting(route: Route) -> bool:
    return route.machined and route.kind != "restore"


def restoring(look: Look) -> Iterator[Doubt]:
    """Restored bores that no piston is made for, or no way to restore one."""
    catalogue = look.catalogue
    nominal = {part.nominal_bore for part in catalogue.pistons}
    restore = [route for route in catalogue.routes if route.kind == "restore"]
    if not restore:
        text = "no route sleeves or re-plates a bore: one worn past the last size cannot be saved"
        yield doubt("routes", "", "kind", text, "note")
    for route in restore:
        base = route.restored_bore
        if base is None:
            text = "the bore that a sleeved or re-plated one starts from is not given"
            yield doubt("routes", route.name, "restored_bore", text, "serious")
            continue
        most = None if route.max_cut is None else base + route.max_cut
        if nominal and not any(
            base + route.min_cut <= bore and (most is None or bore <= most) for bore in nominal
        ):
            text = f"from {look.show(base)} its cuts reach the bore of no piston"
            yield doubt("routes", route.name, "restored_bore", text)
