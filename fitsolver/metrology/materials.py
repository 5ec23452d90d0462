"""Linear thermal expansion of the alloys that bores, pistons and rings are made of.

Mean coefficients about room temperature, as printed by the sources named beside them, kept
as integers of one part in 10**9 per kelvin (11.4e-6/K is 11400), so that nothing is rounded.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from fitsolver.errors import InputError

_METALS: Final = "Materials Science and Engineering: An Introduction, table B.6"
_ALUMINIUM: Final = "handbook table of aluminium alloys"
_MEMORY: Final = "handbook table of aluminium alloys, from memory"


class Material(NamedTuple):
    """An alloy: what it is, its expansion in 10**-9 per kelvin, and who says so."""

    what: str
    expansion: int
    source: str


MATERIALS: Final[dict[str, Material]] = {
    "grey_iron": Material("grey cast iron (G1800, G3000, G4000)", 11_400, _METALS),
    "ductile_iron": Material("ductile cast iron 60-40-18", 11_200, _METALS),
    "steel_1020": Material("plain carbon steel 1020", 11_700, _METALS),
    "al_6061": Material("wrought aluminium 6061", 23_600, _METALS),
    "al_356": Material("cast aluminium 356.0", 21_500, _METALS),
    "al_4032": Material("forged piston aluminium 4032, about 12 % Si", 19_400, _ALUMINIUM),
    "al_a132": Material("cast piston aluminium A132", 19_000, _ALUMINIUM),
    "al_2618": Material("forged piston aluminium 2618", 22_300, _MEMORY),
    "al_390": Material("cast aluminium 390.0, about 17 % Si", 18_000, _MEMORY),
}


def is_known(alloy: str) -> bool:
    """Tell whether the expansion of an alloy of that name is known."""
    return _key(alloy) in MATERIALS


def find_material(alloy: str, *, file: str = "", field: str = "alloy") -> Material:
    """Return the material of that name; capitals, blanks and hyphens do not matter.

    Raises InputError (naming `file` and `field`) with the names that are known.
    """
    material = MATERIALS.get(_key(alloy))
    if material is None:
        raise InputError(
            "no expansion is known for this alloy",
            file=file,
            field=field,
            found=alloy or "nothing",
            allowed=", ".join(MATERIALS),
        )
    return material


def expansion(alloy: str, *, file: str = "", field: str = "alloy") -> int:
    """Return the linear expansion of an alloy in 10**-9 per kelvin; InputError if unknown."""
    return find_material(alloy, file=file, field=field).expansion


def _key(alloy: str) -> str:
    return alloy.strip().lower().replace(" ", "_").replace("-", "_")
