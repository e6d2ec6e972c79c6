"""The notebook of a campaign: brief, machine, batches so far -> what to mix next. Knows no database and no page."""

from .brief import Brief, Line
from .explain import Verdict
from .lots import Lot
from .machine import Machine
from .notebook import Notebook
from .outcomes import Outcome, read_outcome
from .proposal import Proposal

__all__ = ["Brief", "Line", "Lot", "Machine", "Notebook", "Outcome", "Proposal", "Verdict", "read_outcome"]
