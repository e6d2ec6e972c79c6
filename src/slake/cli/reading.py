"""`slake tests` and `slake read`: the bench tests and what one reading means, without records and without Django."""

from __future__ import annotations

from typing import Annotated

import typer

from slake.ground.problems import Problem

Named = Annotated[list[str] | None, typer.Argument(metavar="NAME=VALUE ...", help="What the test asks, in its units.")]
RowTexts = Annotated[
    list[str] | None, typer.Option("--row", metavar='"NAME=VALUE ..."', help="One row of a series; repeat for each.")
]
Density = Annotated[str, typer.Option(help="Density of the paste in g/mL, where you weighed it.")]


def tests(name: Annotated[str, typer.Argument(help="Show one test whole.")] = "") -> None:
    """List every bench test, or show one with its steps and what it asks."""
    from slake.bench.shelf import all_tests, test_named

    if name:
        _show_test(test_named(name))
        return
    for test in all_tests().values():
        typer.echo(f"{test.id:<14} {test.title} -> {test.notebook_name} ({test.notebook_unit})")


def read(
    test: Annotated[str, typer.Argument(help="As slake tests lists it.")],
    named: Named = None,
    row: RowTexts = None,
    density: Density = "",
) -> None:
    """Say what one reading means: the property, its 80 % range, and where the test holds. Nothing is recorded."""
    from slake.bench.shelf import test_named

    declared = test_named(test)
    asked = {item.name for item in declared.inputs}
    columns = {column.name for column in declared.rows.columns} if declared.rows else set()
    raw = declared.read(_pairs(named or [], asked), [_pairs(text.split(), columns) for text in row or []])
    headline = declared.headline(raw)
    context = _context(density)
    evidence = declared.inverse(raw, context)
    typer.echo(f"{declared.title}: {headline.value:.4g} {headline.unit} {headline.words}".rstrip())
    for line in [*_meaning(evidence), *declared.further_sentences(raw, context)]:
        typer.echo(line)
    if waits_for := declared.still_to_do(raw):
        typer.echo(f"still to do: {waits_for}")
    typer.echo(f"holds: {declared.validity}")
    for source in declared.sources:
        typer.echo(f"from: {_source(source)}")
    for caution in declared.cautions:
        typer.echo(f"mind: {caution}")


def _pairs(texts: list[str], known: set[str]) -> dict[str, str]:
    """Split name=value texts. Raises Problem for a name the test does not ask, or given twice."""
    pairs: dict[str, str] = {}
    for text in texts:
        name, mark, value = text.partition("=")
        if not mark:
            raise Problem(f"“{text[:40]}” is no name=value: write for example {min(known, default='name')}=12.5")
        if name not in known:
            raise Problem(f"this test does not ask “{name[:40]}”: it asks {', '.join(sorted(known)) or 'nothing here'}")
        if name in pairs:
            raise Problem(f"{name} is given twice: give it once")
        pairs[name] = value
    return pairs


def _context(density: str):
    from slake.bench.declaration import Context
    from slake.ground.numbers import Limits, read_number
    from slake.ground.units import to_si

    if not density:
        return Context()
    limits = Limits(low=0.5, high=4.0, unit="g/mL", do="weigh a filled cup of known volume again")
    return Context(density_kg_m3=to_si(read_number(density, "density", limits), "g/mL"), density_sd_log=0.02)


def _meaning(evidence) -> list[str]:
    """Lines of plain words for one piece of evidence, with unit and range."""
    import tomllib
    from importlib.resources import files

    from slake.ground.evidence import Kind

    names = tomllib.loads(files("slake.ground").joinpath("names.toml").read_text(encoding="utf-8"))
    known = names.get(evidence.informs, {})
    unit = known.get("unit") or known.get("basis") or ("" if known else "in its SI unit")
    span = evidence.range80()
    if span is not None:
        kind = "between" if evidence.kind is Kind.BETWEEN else "80 % range"
        said = f"{_short(span.mid)} {unit} ({kind} {_short(span.low)} to {_short(span.high)} {unit})"
    elif evidence.kind is Kind.ABOVE:
        said = f"above {_short(evidence.low)} {unit}; how far above, this reading cannot say"
    else:
        said = f"below {_short(evidence.high)} {unit}; how far below, this reading cannot say"
    meaning = [f"  that is: {known['meaning']}"] if known else []
    return [f"{evidence.informs}: {said}", *meaning, *([evidence.note] if evidence.note else [])]


def _source(key: str) -> str:
    """Title of a source, and how it is known to us."""
    from slake.bench.describe import HOW, known_sources

    found = known_sources().get(key)
    return f"{found['title']} ({HOW[str(found['how'])]})" if found else key


def _short(number: float) -> str:
    """Three figures; no reading of these tests bears more."""
    from slake.ground.problems import plain

    return plain(float(f"{number:.3g}"))


def _show_test(test) -> None:
    """Steps, inputs with units and limits, and cautions of one test."""
    from slake.bench.declaration import Choice

    typer.echo(f"{test.title} ({test.id}, version {test.version})")
    for number, step in enumerate(test.procedure, 1):
        typer.echo(f"  {number}. {step}")
    for item in [*test.inputs, *(test.rows.columns if test.rows else ())]:
        if isinstance(item, Choice):
            typer.echo(f"  {item.name}=  {item.label}: {', '.join(item.words)}{_left_open(item)}")
        else:
            typer.echo(f"  {item.name}=  {item.label}, {item.low:g} to {item.high:g} {item.unit}{_left_open(item)}")
    if test.rows:
        typer.echo(f"  --row for each of {test.rows.at_least} to {test.rows.at_most}: {test.rows.label}")
    typer.echo(f"  holds: {test.validity}")
    for caution in test.cautions:
        typer.echo(f"  mind: {caution}")


def _left_open(item) -> str:
    return "" if item.typical is None else f" (left open: {item.typical})"
