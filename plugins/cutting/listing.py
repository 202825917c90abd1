"""The cutting list of a job, trim by trim; the stage ``cutting``."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from math import fsum

from listel.core.contract.findings import GEOMETRY, PRACTICE, Finding, Grounds, Input, Where
from listel.core.contract.rules import load_rules
from listel.core.contract.stage import Sheet
from listel.core.contract.tables import load_table
from listel.core.house.filters import money
from listel.core.quick import dataclass
from listel.core.survey.job import Job, Trim
from listel.core.survey.units import show_length
from listel.plugins.cutting.demand import Part
from listel.plugins.cutting.greedy import longest_first, smallest_offcut_first
from listel.plugins.cutting.group import Group, group_of
from listel.plugins.cutting.plan import boards, laid_out, settings
from listel.plugins.cutting.problem import GRID, Pattern, Problem, Solution, Stretch, steps_down, steps_up
from listel.plugins.cutting.results import (
    CutBoard,
    CuttingList,
    JointPlans,
    Purchase,
    TrimCutting,
    Unmade,
    Wanted,
)
from listel.plugins.cutting.search import OBJECTIVES, WATCH, Watch, solve
from listel.plugins.cutting.short import short_pieces
from listel.plugins.cutting.supply import Bench, bench
from listel.plugins.cutting.told_done import told
from listel.plugins.cutting.under_way import as_done, begun_boards, done_of, had, resumed
from listel.plugins.defects import BoardCheck, DefectChecks
from listel.plugins.setting_out import Joints, Piece, SettingOut, TrimJoints

RULES = load_rules(__package__)
MOST_NAMED = 30
"""Pieces named in one sentence; the list of what is not made has them all."""


def examine(job: Job, sheet: Sheet) -> Iterator[object]:
    """Findings on the cutting, then the cutting list."""
    setting_out = sheet.get(SettingOut)
    pieces = (*setting_out.pieces, *setting_out.returns, *setting_out.splices) if setting_out else ()
    chosen, plans = sheet.get(Joints) or Joints(), sheet.get(JointPlans) or JointPlans()
    yield from cutting_list(job, pieces, sheet[DefectChecks].boards, chosen, plans, WATCH.get())


def cutting_list(
    job: Job,
    pieces: tuple[Piece, ...],
    checks: tuple[BoardCheck, ...],
    joints: Joints,
    plans: JointPlans,
    watch: Watch,
) -> Iterator[Finding | CuttingList]:
    """Findings, then the cutting list of every trim that has pieces."""
    lines: list[TrimCutting] = []
    saw = bench(job)
    known = dict(plans.plans)
    trims = [(trim, [piece for piece in pieces if piece.trim == trim.name]) for trim in job.trim]
    for trim, wanted in trims:
        if not wanted:
            continue
        boards_for = [board for board in checks if board.trim == trim.name]
        group = group_of(trim.name, wanted, boards_for, saw, job.cutting.spare)
        solution = solve(group.problem, watch, known.get(group.problem))
        laid, unmade = laid_out(solution.patterns, group.parts, group.sources)
        as_told = done = done_of(job.done, trim.name, wanted)
        if done.pieces or done.boards or done.marked:
            before = (group, solution, (laid, unmade))
            done = as_done(done, wanted, boards_for, before, saw)
            now = resumed(job, done, wanted, boards_for, before, watch)
            yield from told(job, trim, as_told, done, wanted, boards_for, now, group)
            group, solution, (laid, unmade) = now
        cut = boards(laid, saw, group.kerf, begun_boards(done))
        changes = settings(laid)
        notes = tuple(_notes(job, group, saw, cut))
        jointed = next((line for line in joints.lines if line.trim == trim.name), None)
        claim = _claim(job, group, solution, jointed)
        line = _line(job, trim, group, solution, claim, cut, changes, unmade, notes, saw)
        lines.append(replace(line, had=had(boards_for, done)))
        yield from _findings(job, trim, group, solution, unmade, saw)
        yield from _too_small(job, trim, group)
        yield from short_pieces(job, trim, wanted)
    yield CuttingList(tuple(lines))


def _line(
    job: Job,
    trim: Trim,
    group: Group,
    solution: Solution,
    claim: Claim,
    cut: tuple[CutBoard, ...],
    changes: tuple[int, int],
    unmade: list[Part],
    notes: tuple[str, ...],
    saw: Bench,
) -> TrimCutting:
    cost = group.made_cost(solution.patterns)
    rules = [rule(group.problem) for rule in (smallest_offcut_first, longest_first)]
    everyday = min(rules, key=lambda plan: (group.problem.total(plan)[0], group.bought(plan)))
    used_up = sum(board.length - sum(end - start for start, end in board.remnants) for board in cut)
    metres = sum(end_of.end - end_of.start for board in cut for end_of in board.cuts) / 1000
    return TrimCutting(
        trim=group.trim,
        boards=cut,
        bought=purchases(cut),
        cost=cost,
        priced=group.priced,
        bound=claim.bound,
        proven=claim.proven,
        claim=claim.says,
        objectives=_objectives(group, solution, claim, changes),
        greedy_cost=group.made_cost(everyday),
        saved=_saved(job, group, solution.patterns, everyday),
        metres=metres,
        waste_share=sum(board.waste for board in cut) / used_up if used_up else 0.0,
        unmade=tuple(not_made(group, unmade)),
        wanted=tuple(_wanted(trim, [*unmade, *group.apart])),
        notes=notes,
        grounds=_grounds(job, group, claim, saw, cost),
    )


def not_made(group: Group, unmade: list[Part]) -> Iterator[Unmade]:
    """What no board gives, spares last, those of another section at the end, each with why."""
    longest = _longest(group)
    for part in sorted(unmade, key=lambda part: not part.pieces):
        why = "longer than any board" if steps_up(part.length) > longest else "the boards listed do not make it"
        yield from _not_cut(part, why if longest else "no board is listed for it")
    for part in group.apart:
        high, thick = part.pieces[0].section or (0.0, 0.0)
        yield from _not_cut(part, f"wants a board {high:g} mm x {thick:g} mm, and none of the trim's is")


def _not_cut(part: Part, why: str) -> Iterator[Unmade]:
    for label, length, left, right in part.lengths():
        yield Unmade(piece=label, length=length, left=left, right=right, why=why)


def _longest(group: Group) -> int:
    """The longest clear stretch that is to be had, in steps of the grid; 0 where there is none."""
    return max((stretch.room for stretch in group.problem.stretches if stretch.real), default=0)


def _wanted(trim: Trim, unmade: list[Part]) -> Iterator[Wanted]:
    """What is to be had for the parts that no board gives, section by section, that of the trim first."""
    sections: dict[tuple[float, float] | None, list[Part]] = {}
    for part in unmade:
        sections.setdefault(part.pieces[0].section if part.pieces else None, []).append(part)
    for section, parts in sections.items():
        yield Wanted(
            section=section or (trim.section.height, trim.section.thick),
            own=section is not None,
            count=len(parts),
            longest=max(part.length for part in parts),
            length=fsum(part.length for part in parts),
        )


@dataclass(frozen=True)
class Claim:
    """What can be said of the cost: no plan comes below ``bound``, and what plans that speaks of."""

    bound: float
    proven: bool
    says: str


def _claim(job: Job, group: Group, solution: Solution, joints: TrimJoints | None) -> Claim:
    """Of the pieces as they are; where their joints were chosen with the boards, of all plans with as few joints."""
    if not solution.patterns:
        return Claim(0.0, True, "nothing is planned: no board gives any of these pieces")
    plans, bound = "for these pieces", (solution.proofs[0].bound or 0) / group.scale
    bound, proven = max(0.0, bound - group.standing_in(solution.patterns)), solution.proofs[0].proven
    more = "; whether one with other joints would is not known" if joints else ""
    if joints and joints.bound is not None:
        plans, bound, more = "with this few joints at these stations", joints.bound, ""
        proven = bound >= group.made_cost(solution.patterns) - 1e-6
    if proven:
        return Claim(bound, True, f"it is proven that no plan {plans} costs less{more}")
    says = f"it is not proven that no plan costs less; none {plans} costs less than {_shown_cost(job, group, bound)}"
    if solution.stopped:
        more += "; the search was stopped, and this is the best so far"
    return Claim(bound, False, says + more)


def purchases(cut: tuple[CutBoard, ...]) -> tuple[Purchase, ...]:
    """How many new boards of each length and price are cut from, the shortest first."""
    counted = Counter((board.length, board.price) for board in cut if board.bought)
    ordered = sorted(counted.items(), key=lambda item: (item[0][0], item[0][1] or 0.0))
    return tuple(Purchase(length, count, price) for (length, price), count in ordered)


def _objectives(
    group: Group, solution: Solution, claim: Claim, changes: tuple[int, int]
) -> tuple[tuple[str, float, float | None, bool], ...]:
    _, second, third = solution.proofs
    whole = sum(group.problem.worth(s.room) * (s.limit or 0) for s in group.problem.stretches if s.rack)
    return (
        (OBJECTIVES[0], group.made_cost(solution.patterns), claim.bound, claim.proven),
        (
            OBJECTIVES[1],
            float(whole - second.value),
            None if second.bound is None else float(whole - second.bound),
            second.proven,
        ),
        (OBJECTIVES[2], float(third.value), third.bound, third.proven),
        ("fewest saw resettings", float(changes[0]), float(changes[1]), changes[0] == changes[1]),
    )


def _saved(job: Job, group: Group, plan: tuple[Pattern, ...], everyday: tuple[Pattern, ...]) -> str:
    length = group.bought(everyday) - group.bought(plan)
    less = group.made_cost(everyday) - group.made_cost(plan)
    if group.standing_in(everyday) > group.standing_in(plan) + 1e-9:
        return "makes pieces that the everyday rules leave unmade"
    if abs(length) < 1e-9 and abs(less) < 1e-9:
        return "as cheap as the better of the everyday rules"
    words = [money(less, job.cutting.currency or "")] if group.priced else []
    bought = show_length(abs(length), job.units)
    if abs(length) >= 0.5:
        words.append(f"{bought} of new boards" if length > 0 else f"at {bought} more of new boards")
    return (
        " and ".join(words[:1])
        + "".join(f"{' and ' if length > 0 else ', '}{word}" for word in words[1:])
        + (" less than the better of the everyday rules")
    )


def _grounds(job: Job, group: Group, claim: Claim, saw: Bench, cost: float) -> Grounds:
    inputs = [
        *saw.inputs,
        Input("kerf along the board", group.kerf, "mm", note="the widest of any saw cut of this trim"),
    ]
    formula = (
        "in this order, each held before the next: least cost of new timber; most worth left on the rack, a clear "
        "stretch counting its length squared; fewest stretches opened; fewest saw resettings"
    )
    kinds = len(group.problem.stretches) - (group.stand_in is not None)
    worked = f"{group.problem.pieces} parts from {kinds} kind{'s' if kinds != 1 else ''} of stretch"
    sources = (GEOMETRY, PRACTICE, *load_table(__package__, "bench").sources.values())
    return Grounds(tuple(inputs), formula, worked, f"{_shown_cost(job, group, cost)}: {claim.says}", sources)


def _shown_cost(job: Job, group: Group, cost: float) -> str:
    """What a plan costs: money, or the length of its new boards where they are not priced."""
    return money(cost, job.cutting.currency or "") if group.priced else f"{show_length(cost, job.units)} of boards"


def _notes(job: Job, group: Group, saw: Bench, cut: tuple[CutBoard, ...]) -> Iterator[str]:
    if saw.rack_price and group.priced:
        yield "The cost includes what rack timber is priced at."
    if any(board.bought and board.defects for board in cut):
        yield "Of new boards with defects only the longest clear stretch is counted on."
    if group.spares:
        yield "A spare is as long as the longest that is cut in one, so that it serves for any that is spoilt."


def _findings(
    job: Job, trim: Trim, group: Group, solution: Solution, unmade: list[Part], saw: Bench
) -> Iterator[Finding]:
    where = Where(trim=trim.name, line=job.line(trim))
    stocked = any(not stretch.rack and stretch.real for stretch in group.problem.stretches)
    if unmade and not stocked and not any(board.trim == trim.name for board in job.stock):
        what = f"stock lengths for {trim.name}, and their prices"
        yield RULES["stock-not-surveyed"].lacking(what, "which boards to buy", where)
        yield _usual(job, group, unmade, saw, where)
    elif unmade:
        yield from _held(job, group, unmade, saw, where)
    if stocked and not group.priced:
        what = f"prices of the stock for {trim.name}"
        yield RULES["price-not-surveyed"].lacking(what, "the cost; until then the length bought is the cost", where)
    for name in group.parted:
        says = f"{trim.name}: the pieces whose grain was to run on ({name}) are longer together than any clear stretch."
        mend = "find a longer board, or agree at which corner the grain may break"
        yield RULES["grain-cannot-run"].told("caution", says, where, Grounds(sources=(GEOMETRY,)), mend)


def _held(job: Job, group: Group, unmade: list[Part], saw: Bench, where: Where) -> Iterator[Finding]:
    longest = _longest(group)
    too_long = [part for part in unmade if steps_up(part.length) > longest]
    short = [part for part in unmade if steps_up(part.length) <= longest]
    if too_long:
        need = max(part.length for part in too_long) + 2 * saw.end_trim
        shown = show_length(need, job.units)
        one = "it" if len(too_long) == 1 else "them all"
        says = f"No board takes {_names(too_long)} of {group.trim}. The shortest new board for {one} is {shown}."
        longest_clear = Input("longest clear stretch", longest / GRID, "mm")
        inputs = tuple(Input(part.name, part.length, "mm") for part in too_long)
        worked = f"{max(part.length for part in too_long):.1f} mm + 2 x {saw.end_trim:g} mm = {need:.1f} mm"
        grounds = Grounds((*inputs, longest_clear), "piece and both end trims", worked, f"{need:.1f} mm", (GEOMETRY,))
        mend = "find a longer board, or agree a joint in the run"
        at = _piece(where, too_long)
        yield RULES["piece-fits-no-board"].told("hold", says, at, grounds, mend, shortest_board=need)
    if short:
        says = f"The boards to be had do not make {_names(short)} of {group.trim}."
        lengths = tuple(Input(part.name, part.length, "mm") for part in short)
        grounds = Grounds(lengths, "what the boards leave uncut", sources=(GEOMETRY,))
        lacking = sum(part.length for part in short)
        mend = f"find {show_length(lacking, job.units)} more of clear timber"
        yield RULES["not-enough-boards"].told("hold", says, _piece(where, short), grounds, mend, lacking=lacking)


def _too_small(job: Job, trim: Trim, group: Group) -> Iterator[Finding]:
    """Splices that the boards of their trim are too narrow or too thin for, section by section."""
    for wanted in _wanted(trim, group.apart):
        named = [part for part in group.apart if part.pieces[0].section == wanted.section]
        section = wanted.sized(job.units)
        own = replace(wanted, section=(trim.section.height, trim.section.thick)).sized(job.units)
        offer = _offered(job, trim, wanted, named)
        yield RULES["board-too-small"].lacking(
            f"a board {section} for {_names(named)}: those for the {trim.name} are {own}, too narrow or too thin"
            + (f" ({offer})" if offer else ""),
            "what these splices are cut from; they are in no board until then",
            _piece(Where(trim=trim.name, line=job.line(trim)), named),
            offer
            or f"list a trim of section {section} that goes nowhere and only mends, name it under for: of the old "
            "piece, and list a board for it under stock or rack",
        )


def _offered(job: Job, trim: Trim, wanted: Wanted, parts: list[Part]) -> str:
    """What to say where the job has a trim of the very section that splices want, which only mends; "" where not."""
    old = " and ".join(dict.fromkeys(part.name.partition("/")[0] for part in parts))
    for other in job.trim:
        size = (other.section.height, other.section.thick)
        if other.member == trim.member and not other.where and size == wanted.section:
            return f"the {other.name} is of that section and goes nowhere: say for: {other.name} on {old}"
    return ""


def _names(parts: list[Part]) -> str:
    """The pieces by name; where there are very many, the first of them and how many more."""
    names = [part.name for part in parts]
    if len(names) == 1:
        return f"piece {names[0]}"
    more = f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return f"the pieces {', '.join(names[:MOST_NAMED])}{more}"


def _piece(where: Where, parts: list[Part]) -> Where:
    return Where(trim=where.trim, piece=parts[0].name if len(parts) == 1 else "", line=where.line)


def _usual(job: Job, group: Group, unmade: list[Part], saw: Bench, where: Where) -> Finding:
    """How many boards of each usual length would do, taken by the everyday rule."""
    row = load_table(__package__, "bench").row(job.units)
    sizes = sorted({steps_up(part.length) for part in unmade}, reverse=True)
    wanted = tuple(sum(steps_up(part.length) == size for part in unmade) for size in sizes)
    counts, inputs = [], []
    for length in row["lengths"]:
        stretch = Stretch(steps_down(length - 2 * saw.end_trim), steps_up(length))
        if stretch.room >= sizes[0]:
            problem = Problem(tuple(sizes), wanted, (stretch,), group.problem.kerf, group.problem.keep)
            counts.append(f"{len(smallest_offcut_first(problem))} of {show_length(length, job.units)}")
            inputs.append(Input("board", length, "mm", assumed=True, note="a length usually sold"))
    to_find = sum(part.length for part in unmade)
    total = show_length(to_find, job.units)
    if counts:
        says = f"{group.trim}: {total} to find. Of lengths usually sold, {', or '.join(counts)} would do."
    else:
        longest = show_length(sizes[0] / GRID, job.units)
        says = f"{group.trim}: {total} to find, with a piece of {longest}: longer than any usual board."
    grounds = Grounds(tuple(inputs), sources=row.sources)
    return RULES["usual-lengths"].told("advice", says, where, grounds, to_find=to_find)
