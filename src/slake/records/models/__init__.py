"""All tables of one bench."""

from .bench import Brief, Machine, Person, Room, Window
from .ledger import Action, Detail, ProposalGiven
from .materials import Lot, StockMove
from .mixing import Amount, Batch, Recipe, Weighing
from .readings import Outcome, Reading, Strike

__all__ = [
    "Action",
    "Amount",
    "Batch",
    "Brief",
    "Detail",
    "Lot",
    "Machine",
    "Outcome",
    "Person",
    "ProposalGiven",
    "Reading",
    "Recipe",
    "Room",
    "StockMove",
    "Strike",
    "Weighing",
    "Window",
]
