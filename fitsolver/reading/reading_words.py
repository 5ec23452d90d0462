"""Words of readings sheets in the languages that price lists come in, and what they mean.

Only words with one meaning at the bench are here; all others are asked (`sheet_words`). From memory
of ordinary trade language.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

#: What the figures of a column are, where its heading does not say of which kind.
FIGURE: Final = "figure"
THRUST_WORD, PIN_WORD = "thrust", "pin"

_COLUMNS: Final[Mapping[str, str]] = {
    "cylinder": "cylinders cyl cyl. zylinder zyl zyl. cylindre cylindres cilindro cilindri "
    "cilindros cil cil. cilinder cilinders",
    "depth": "depths tiefe tiefen messtiefe profondeur profondeurs profondità profondita "
    "profundidad profundidades profundidade diepte diepten djup dybde",
    "axis": "axes achse achsen messachse axe asse assi eje ejes eixo eixos richtung messrichtung "
    "direction direzione dirección direccion direção richting",
    "diameter": "diameters size sizes durchmesser ø diamètre diametre diamètres diametro diametri "
    "diámetro diámetros diâmetro",
    FIGURE: "figures reading readings value values measurement measurements measured messwert "
    "messwerte wert werte ablesung maß mesure mesures valeur valeurs lecture misura misure valore "
    "valori lettura medida medidas valor valores lectura meting maat waarde",
    "dial": "uhr messuhr comparateur comparatore comparador meetklok",
    "unit": "units einheit unité unite unità unita unidad unidade eenheid",
}  # fmt: skip
#: A crankshaft lies along its engine, and the pin along the crankshaft.
_AXES: Final[Mapping[str, str]] = {
    THRUST_WORD: "quer querrichtung druckrichtung transverse transversal transversale trasversale "
    "poussée poussee spinta empuje dwars",
    PIN_WORD: "längs laengs längsrichtung laengsrichtung bolzen bolzenachse bolzenrichtung "
    "kolbenbolzen longitudinal longitudinale spinotto bulón bulon langs",
}


def _by_word(meanings: Mapping[str, str]) -> dict[str, str]:
    return {word: meaning for meaning, words in meanings.items() for word in words.split()}


_AXIS_OF: Final = _by_word(_AXES)
_MEANING: Final = {**_by_word(_COLUMNS), **_AXIS_OF}


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


#: Around the words that count: `depth from the top face`, `Tiefe von oben`.
NOISE: Final = _words(
    "and at from top the face von ab oben der dem des und de du la le les depuis haut dal del "
    "dalla alto desde arriba"
)
#: Before the number of a cylinder.
NUMBER_WORDS: Final = _words("no no. nr nr. n° nº num núm number numéro numero nummer")
#: Over a column of remarks, which no reading stands in.
REMARKS: Final = _words(
    "note notes remark remarks comment comments bemerkung bemerkungen notiz notizen anmerkung "
    "remarque remarques commentaire commentaires nota notas osservazione osservazioni observación "
    "observaciones opmerking opmerkingen"
)


def in_english(word: str) -> str:
    """Return what a word of a readings sheet means, in the program's own word; else the word."""
    return _MEANING.get(word.lower(), word)


def axis_named(word: str) -> str:
    """Return `thrust` or `pin` where a word of another language means it; "" where none does."""
    return _AXIS_OF.get(word.strip().lower(), "")
