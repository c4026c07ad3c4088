"""What the report says: a scenario and its survey as sections, in the order in which a client reads.

Two pages for the client, the parts one by one, the recommendations in full, and an appendix.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from anchorsim.core.units import System
from anchorsim.figures import units_of
from anchorsim.report import advice, appendix, front, parts
from anchorsim.report.bars import Bar, utilisation
from anchorsim.report.blocks import Letterhead, Picture, Report, Section, Warned
from anchorsim.report.numbering import Numbering
from anchorsim.report.results import Results, results
from anchorsim.report.views import Named, from_above, from_the_side
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import report as words
from anchorsim.wording.findings import part as label
from anchorsim.wording.terms import local
from anchorsim.wording.warnings import warnings


def content(
    scenario: Scenario, system: System, head: Letterhead | None = None, last: Scenario | None = None
) -> Report:
    """The whole report in words and pictures.

    A scenario without a survey is taken as described.
    """
    made = results(scenario, last)
    numbering = Numbering.of(scenario, made.found)
    return Report(
        title=words.DESCRIBED if scenario.survey.empty else words.TITLE,
        subject=words.subject(scenario),
        running=words.running(scenario),
        surveyor=scenario.survey.surveyor,
        letterhead=head or Letterhead(),
        sections=tuple(_sections(scenario, made, numbering, system)),
    )


def _sections(scenario: Scenario, made: Results, numbering: Numbering, system: System) -> Iterator[Section]:
    bars = _bars(made.before, made.after, system)
    states = _states(made.before, made.after)
    yield from front.sections(scenario, made, bars, numbering, states, system)
    yield from parts.sections(scenario, made, numbering, system)
    if made.found:
        yield advice.section(scenario, made.found, numbering, system)
    yield _pictures(made, bars, states, system)
    yield from appendix.sections(scenario, made.before, numbering.sources, system)


def _states(before: Appraisal, after: Appraisal | None) -> tuple[str, ...]:
    """The names of the columns before and after, one only where nothing is recommended."""
    found = before.surveyed and not before.nothing_in_line
    first = words.AS_FOUND if found else words.AS_DESCRIBED
    return (first, words.ALL_DONE) if after else (first,)


def _pictures(made: Results, bars: Sequence[Bar], states: Sequence[str], system: System) -> Section:
    found, length = [made.before, *([made.after] if made.after else [])], units_of(system).length
    runs = [Named(name, each.assessment.run()) for name, each in zip(states, found, strict=True)]
    drawings = (utilisation(bars, states), from_above(runs, length), from_the_side(runs, length))
    warned = [Warned(one) for one in warnings(made.before.assessment, system, printed=True)]
    return Section(words.PICTURES, (*warned, *(Picture(each) for each in drawings)))


def _bars(before: Appraisal, after: Appraisal | None, system: System) -> list[Bar]:
    """A bar a part of either set of gear, from the anchor aft."""
    earlier = {part.key: part for part in before.parts if not part.spare}
    later = {part.key: part for part in after.parts if not part.spare} if after else {}
    order = [part.key for part in before.parts if part.key in earlier]
    order += [key for key in later if key not in earlier]
    bars = []
    for key in order:
        first, then = earlier.get(key), later.get(key)
        names = {part.name for part in (first, then) if part}
        name = names.pop() if len(names) == 1 else label(key)
        used = [part.utilisation if part else None for part in (first, then)]
        bars.append(Bar(key, local(name, system), *used))
    return bars
