"""All tables of one bench."""

from .bench import Brief, Machine, Person, Room, Window
from .bowl import StepDone, Taken
from .buckets import Blend, Bucket, BucketStrike, BucketWeighing
from .instruments import Instrument, InstrumentCheck
from .ledger import Action, Detail, ProposalGiven, VerdictGiven
from .materials import Lot, StockMove
from .mixing import Amount, Batch, Recipe, Weighing
from .past import Job, OwnTest, OwnTestStrike, Sheet
from .readings import Outcome, Reading, Strike
from .struck import BatchStrike

__all__ = [
    "Action",
    "Amount",
    "Batch",
    "BatchStrike",
    "Blend",
    "Brief",
    "Bucket",
    "BucketStrike",
    "BucketWeighing",
    "Detail",
    "Instrument",
    "InstrumentCheck",
    "Job",
    "Lot",
    "Machine",
    "Outcome",
    "OwnTest",
    "OwnTestStrike",
    "Person",
    "ProposalGiven",
    "Reading",
    "Recipe",
    "Room",
    "Sheet",
    "StepDone",
    "StockMove",
    "Strike",
    "Taken",
    "VerdictGiven",
    "Weighing",
    "Window",
]
