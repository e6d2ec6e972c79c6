"""The machine's verdict before loading: will this paste run through and stand, and what is the smallest fix."""

from . import practice
from .inputs import Lengths, Paste, Plan, Press, Question, Tried, Wall
from .judging import Verdict, judge
from .lines import Line

__all__ = [
    "Lengths",
    "Line",
    "Paste",
    "Plan",
    "Press",
    "Question",
    "Tried",
    "Verdict",
    "Wall",
    "judge",
    "practice",
]
