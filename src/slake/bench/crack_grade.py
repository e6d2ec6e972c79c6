"""Crack grade: how cracked a dried piece is, against words for each grade."""

from __future__ import annotations

from slake.ground.evidence import Evidence, Kind
from slake.ground.problems import plain

from .declaration import About, BenchTest, Choice, Context, Headline, Raw, Scalar

WORDS = {
    "0": "0 no crack",
    "1": "1 hairline, under 0.1 mm wide and under 10 mm long",
    "2": "2 visible, 0.1 to 0.5 mm wide, or a hairline of 10 mm and more",
    "3": "3 over 0.5 mm wide, or longer than half the wall",
    "4": "4 through the wall",
    "5": "5 broken",
}
GRADE = Choice(name="crack_grade", label="crack grade", words=WORDS, help="the worst crack counts")
NUMBER = Scalar(
    name="crack_grade", label="crack grade", unit="grade", low=0, high=5, whole=True, mend="grade it from 0 to 5"
)
SCATTER_GRADES = 0.5


def headline(raw: Raw) -> Headline:
    grade = raw.words[GRADE.name]
    return Headline(name=GRADE.name, value=float(grade), unit="grade", words=WORDS[grade][2:])


def inverse(raw: Raw, context: Context) -> Evidence:
    """A grade is an interval half a grade either way; 0 is open below and 5 open above."""
    grade = float(raw.words[GRADE.name])
    low = grade - 0.5 if grade > 0 else None
    high = grade + 0.5 if grade < 5 else None
    kind = Kind.BELOW if low is None else Kind.ABOVE if high is None else Kind.BETWEEN
    note = "broken: worse than this cannot be told apart" if high is None else ""
    return Evidence(
        informs="crack_grade", kind=kind, low=low, high=high, scatter=SCATTER_GRADES, on_log=False, note=note
    )


def forward(grade: float, context: Context) -> float:
    """The grade expected, between 0 and 5; halves mean two grades are as likely."""
    return min(max(grade, 0.0), 5.0)


def quick(grade: float) -> Raw:
    """A grade alone. Raises NotANumber for a half grade."""
    whole = NUMBER.take(grade)
    return Raw(words={GRADE.name: str(int(whole))}, typed={GRADE.name: plain(grade)})


TEST = BenchTest(
    id="crack_grade",
    version=1,
    title="Crack grade",
    about=About.BATCH,
    procedure=(
        "Let the piece dry. Take the worst crack.",
        "Hold a scale beside it, in side light.",
        "Pick the words that fit. In doubt, the worse one.",
        "Take a picture with scale and label. Ask a second pair of eyes.",
    ),
    inputs=(GRADE,),
    informs="crack_grade",
    notebook_name=GRADE.name,
    notebook_unit="grade",
    brief_words="how cracked it dries",
    floor=0.0,
    ceiling=5.0,
    headline=headline,
    inverse=inverse,
    forward=forward,
    quick=quick,
    scatter_absolute=SCATTER_GRADES,
    scatter_share=0.0,
    validity="Pieces of like shape dried alike. Two people differ by up to a grade; judgement drifts over months, so "
    "look at old pictures beside new ones.",
    sources=("practice",),
    cautions=("Broken edges cut.", "Do not breathe dust from crumbling pieces."),
    sample_ml=11.0,
    minutes=2.0,
)
