"""Linear thermal expansion of the alloys that bores, pistons and rings are made of.

Mean coefficients about room temperature, as printed by the sources named beside them, kept
as integers of one part in 10**9 per kelvin (11.4e-6/K is 11400), so that nothing is rounded.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from fitsolver.base.errors import InputError

_METALS: Final = "Materials Science and Engineering: An Introduction, table B.6"
_MEMORY: Final = "a handbook's table of aluminium alloys, from memory"


class Material(NamedTuple):
    """An alloy: its name, its expansion in 10**-9 per kelvin, and the source."""

    what: str
    expansion: int
    source: str


MATERIALS: Final[dict[str, Material]] = {
    "grey_iron": Material("grey cast iron (G1800, G3000, G4000)", 11_400, _METALS),
    "ductile_iron": Material("ductile cast iron 60-40-18", 11_200, _METALS),
    "steel_1020": Material("plain carbon steel 1020", 11_700, _METALS),
    "al_6061": Material("wrought aluminium 6061", 23_600, _METALS),
    "al_356": Material("cast aluminium 356.0", 21_500, _METALS),
    "al_4032": Material("forged piston aluminium 4032, about 12 % Si", 19_400, _MEMORY),
    "al_a132": Material("cast piston aluminium A132", 19_000, _MEMORY),
    "al_2618": Material("forged piston aluminium 2618", 22_300, _MEMORY),
    "al_390": Material("cast aluminium 390.0, about 17 % Si", 18_000, _MEMORY),
}

_PRACTICE: Final = "common practice, no source"

#: The trade's words for a bore's material: the alloy that determines its expansion, and the reason.
BORE_MATERIALS: Final[dict[str, tuple[str, str]]] = {
    "iron": ("grey_iron", f"liners and blocks are mostly grey iron: {_PRACTICE}"),
    "cast_iron": ("grey_iron", f"liners and blocks are mostly grey iron: {_PRACTICE}"),
    "steel": ("steel_1020", f"a liner of plain carbon steel: {_PRACTICE}"),
    "aluminium": ("al_356", f"a cast aluminium cylinder: {_PRACTICE}"),
    "aluminum": ("al_356", f"a cast aluminium cylinder: {_PRACTICE}"),
    "plated": (
        "al_356",
        "the plating is a thin layer that grows with the cylinder under it, usually cast "
        f"aluminium: {_PRACTICE}",
    ),
}


#: Words in the name of a bore's material that say it is plated.
_PLATED: Final = ("plat", "chrom", "nickel")


def is_plated(material: str) -> bool:
    """Tell whether the name of a bore's material says that it is plated."""
    return any(word in material.lower() for word in _PLATED)


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


def bore_material(name: str, *, file: str = "", field: str = "material") -> Material:
    """Return the material of a bore: an alloy by its own name, else what the trade's word means.

    The source of a trade's word says why it stands for that alloy (`BORE_MATERIALS`). Raises
    InputError (naming `file` and `field`) with the names that are known.
    """
    if is_known(name):
        return find_material(name)
    if _key(name) not in BORE_MATERIALS:
        raise InputError(
            "no expansion is known for a bore of this material",
            file=file,
            field=field,
            found=name or "nothing",
            allowed=", ".join((*BORE_MATERIALS, *MATERIALS)),
        )
    alloy, basis = BORE_MATERIALS[_key(name)]
    material = MATERIALS[alloy]
    return material._replace(source=f"{material.source}; {basis}")


def _key(alloy: str) -> str:
    return alloy.strip().lower().replace(" ", "_").replace("-", "_")
