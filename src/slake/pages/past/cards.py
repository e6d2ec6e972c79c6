"""One card per column of a sheet: what it may mean, and what that meaning still asks. Posted fields to a mapping."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from slake.actions.past_lots import AS_KNOWN, NEW, suggested, word_of
from slake.bench.comparing import instrument_inputs
from slake.bench.declaration import About, BenchTest, Choice
from slake.bench.shelf import all_tests
from slake.campaign.past.headings import split_heading
from slake.campaign.past.meanings import AMOUNT_UNITS, MEANS_WORDS, SHARE, TIME_UNITS, Column, Means, Settled
from slake.campaign.past.table import MOST_COLUMNS, Table, letter, shown
from slake.campaign.reading_words import units_like
from slake.paste.ingredients import Role, find
from slake.records.models import Lot

READING = "reading:"
CHOOSE = "choose"
SAMPLES = 4
MASSES = (Means.AMOUNT, Means.WATER)
LONGEST = 80


@dataclass(frozen=True, kw_only=True)
class Question:
    """One thing asked of a column: a list to choose from, or a text where there are no options."""

    name: str
    label: str
    options: Sequence[tuple[str, str]] = ()
    typed: str = ""


@dataclass(frozen=True, kw_only=True)
class Card:
    """A column as the page shows it: folded to its meaning where nothing is left to say of it."""

    at: int
    title: str
    sample: str
    questions: list[Question] = field(default_factory=list)

    @property
    def meaning(self) -> str:
        return dict(self.questions[0].options).get(self.questions[0].typed, "")

    @property
    def open(self) -> bool:
        return any(("", CHOOSE) in one.options and not one.typed for one in self.questions)


def cards(table: Table, settled: Settled, lots: Sequence[Lot], picks: Mapping[str, Mapping[str, str]]) -> list[Card]:
    below = [row for row in table.rows[: 40 + SAMPLES] if row.number > settled.headings_in][:SAMPLES]
    return [
        Card(
            at=column.at,
            title=f"{letter(column.at)}: {column.heading[:60] or 'no heading'}",
            sample=", ".join(shown(row.cell(column.at))[:30] or "blank" for row in below),
            questions=_questions(column, settled, lots, picks.get(str(column.at), {})),
        )
        for column in settled.columns
    ]


def _questions(column: Column, settled: Settled, lots: Sequence[Lot], pick: Mapping[str, str]) -> list[Question]:
    tests = {key: test for key, test in all_tests().items() if test.read_of(About.BATCH.value)}
    asked = [_meaning(column, tests)]
    if column.means in {*MASSES, Means.MINUTES}:
        units = TIME_UNITS if column.means is Means.MINUTES else AMOUNT_UNITS
        asked.append(Question(name=f"unit_{column.at}", label="In what", options=_open(units), typed=column.unit))
    if column.means is Means.LOT or (column.means in MASSES and column.unit == SHARE):
        asked.append(_of_which(column, settled))
    if column.means is Means.AMOUNT:
        asked += _lot_questions(column, lots, pick)
    if column.means is Means.READING and column.test in tests:
        asked += _reading_questions(column, tests[column.test])
    return asked


def _meaning(column: Column, tests: Mapping[str, BenchTest]) -> Question:
    meanings = [(means.value, words) for means, words in MEANS_WORDS.items() if means is not Means.READING]
    by_title = sorted(tests.items(), key=lambda pair: pair[1].title)
    readings = [(f"{READING}{key}", f"reading: {test.title}") for key, test in by_title]
    return Question(name=f"means_{column.at}", label="What it is", options=[*meanings, *readings], typed=_now(column))


def _now(column: Column) -> str:
    """What the column means, as the form says it."""
    return f"{READING}{column.test}" if column.means is Means.READING else column.means.value


def _open(options: Mapping[str, str]) -> list[tuple[str, str]]:
    return [("", CHOOSE), *options.items()]


def _of_which(column: Column, settled: Settled) -> Question:
    """The columns a share is of: one, all ingredients that are masses, or those with the water."""
    masses = [c for c in settled.columns if c.means in MASSES and (c.unit != SHARE or column.means is Means.LOT)]
    dry = [c for c in masses if c.means is Means.AMOUNT]
    of = _joined(column.share_of)
    if column.means is Means.LOT:
        options = [(str(c.at), c.heading[:60]) for c in dry]
        return Question(name=f"of_{column.at}", label="Label of which", options=[("", CHOOSE), *options], typed=of)
    sums = [(_joined([c.at for c in dry]), "all dry amounts"), (_joined([c.at for c in masses]), "amounts and water")]
    options = [("", CHOOSE), *sums, *((str(c.at), c.heading[:60]) for c in masses)]
    return Question(name=f"of_{column.at}", label="% of what", options=options, typed=of)


def _joined(places: Sequence[int]) -> str:
    return ",".join(str(at) for at in places)


def _lot_questions(column: Column, lots: Sequence[Lot], pick: Mapping[str, str]) -> list[Question]:
    known = [(AS_KNOWN, "a new lot, as slake knows it")] if find(word_of(column)) else []
    new = [(NEW + role.value, f"a new lot: {role.value}") for role in Role]
    options = [("", CHOOSE), *((str(lot.pk), lot.name) for lot in lots), *known, *new]
    picked = pick.get("pick") or suggested(column, lots)
    asked = [Question(name=f"lot_{column.at}", label="Which lot", options=options, typed=picked)]
    if picked.startswith(NEW):
        label = "Its moisture, wet basis, % (left open: usual)"
        asked.append(Question(name=f"moisture_{column.at}", label=label, typed=pick.get("moisture", "")))
    return asked


def _reading_questions(column: Column, test: BenchTest) -> list[Question]:
    asked = []
    units = [(unit, unit or "plain number") for unit in units_like(test.notebook_unit)]
    if len(units) > 1:
        asked.append(Question(name=f"unit_{column.at}", label="In what", options=units, typed=column.unit))
    for item in instrument_inputs(test):
        name, typed = f"choice_{column.at}_{item.name}", column.choices.get(item.name, "")
        options = [("", "usual"), *item.words.items()] if isinstance(item, Choice) else ()
        unit = "" if isinstance(item, Choice) or not item.unit else f" ({item.unit})"
        asked.append(Question(name=name, label=f"{item.label.capitalize()}{unit}", options=options, typed=typed))
    return asked


def settled_from(posted: Mapping[str, str], guessed: Settled) -> Settled:
    """The guess with what the person chose in its place."""
    return replace(guessed, columns=tuple(_column(posted, column) for column in guessed.columns))


def _column(posted: Mapping[str, str], column: Column) -> Column:
    at, said = column.at, posted.get(f"means_{column.at}", _now(column))
    test = said.removeprefix(READING) if said.startswith(READING) else ""
    if test and test not in all_tests():
        return Column(at=at, heading=column.heading)
    known = {means.value: means for means in Means}
    means = Means.READING if test else known.get(said, Means.IGNORE)
    unit = posted.get(f"unit_{at}")
    if unit is None:
        unit = column.unit if (means, test) == (column.means, column.test) else _heading_unit(column, means, test)
    of = posted.get(f"of_{at}", "").split(",")[:MOST_COLUMNS]
    places = tuple(int(text) for text in of if text.isascii() and text.isdigit() and len(text) < 4)
    return Column(
        at=at,
        heading=column.heading,
        means=means,
        unit=unit[:LONGEST] or _all_alike(posted, means),
        test=test,
        choices=_choices(posted, column, test),
        share_of=places or (column.share_of if means is Means.LOT else ()),
    )


def _choices(posted: Mapping[str, str], column: Column, test: str) -> dict[str, str]:
    """With what a reading was taken, as said; as guessed where it was not asked yet."""
    if not test:
        return {}
    start = f"choice_{column.at}_"
    said = {name.removeprefix(start): text for name, text in posted.items() if name.startswith(start)}
    asked = {item.name for item in instrument_inputs(all_tests()[test])}
    if not asked & set(said):
        return dict(column.choices) if test == column.test else {}
    return {name: text[:LONGEST] for name, text in said.items() if text and name in asked}


def _heading_unit(column: Column, means: Means, test: str) -> str:
    """The unit its heading names where it fits the new meaning, else the one the reading is declared in."""
    said = split_heading(column.heading)[1]
    if test:
        declared = all_tests()[test].notebook_unit
        return said if said in units_like(declared) else declared
    fitting = AMOUNT_UNITS if means in MASSES else TIME_UNITS if means is Means.MINUTES else {}
    return said if said in fitting else "min" if means is Means.MINUTES else ""


def _all_alike(posted: Mapping[str, str], means: Means) -> str:
    return posted.get("unit_all", "")[:LONGEST] if means in MASSES else ""


def picks_from(posted: Mapping[str, str], settled: Settled, lots: Sequence[Lot]) -> dict[str, dict[str, str]]:
    """Which lot each amount means; what was not asked yet is suggested."""
    return {
        str(column.at): {
            "pick": (posted.get(f"lot_{column.at}", suggested(column, lots)) or posted.get("lot_all", ""))[:LONGEST],
            "moisture": (posted.get(f"moisture_{column.at}", "") or posted.get("moisture_all", "")).strip()[:LONGEST],
        }
        for column in settled.columns
        if column.means is Means.AMOUNT
    }
