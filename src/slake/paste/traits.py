"""What an ingredient is like, as far as it matters to what it meets in a bowl, on a part or in the ground."""

from __future__ import annotations

from enum import Enum


class Trait(Enum):
    """One property that rules of interactions.toml ask for. The value is how a page says it."""

    ACID = "acid"
    ALKALINE = "alkaline"
    BORATE = "borate"
    CALCIUM = "brings calcium"
    CALCIUM_SET = "set by calcium"
    CARBONATE = "carbonate, fizzes with acid"
    CAUSTIC = "caustic"
    CELLULOSE_RICH = "rich in cellulose"
    COLD_SET = "sets on cooling"
    COOKED = "must be cooked"
    CURDLES = "curdled by acid"
    DRYING_OIL = "oil that hardens in air"
    ENZYMES = "brings enzymes that eat starch"
    FOAMS = "foams when stirred"
    GALACTOMANNAN = "gum of the guar kind"
    GUM = "gum"
    HOT_COAT = "coat that is melted"
    KEEPS_THICKENING = "keeps thickening"
    OILY = "oily"
    PRESERVATIVE_BENZOATE = "preservative, benzoate"
    PRESERVATIVE_SORBATE = "preservative, sorbate"
    PROTEIN = "protein"
    SALTY = "pulls water from the air"
    SENSITISER = "can make people allergic"
    SLAKES = "heats with water"
    SOFTENER = "keeps prints soft"
    SPIRIT_COAT = "coat thinned with spirit"
    STARCHY = "starchy"
    SUGARS = "sugary"
