"""The last board of a plan whose new boards all cost the same: pieces of a fifteenth to a fifth of a board, or three to
a board, leave the linear programme a board short of a plan that is there.

Tried in turn, until a plan meets the bound: boards filled by corrected worths, and dives that fix patterns of the
linear plan, whole ones together and others one by one with second choices, price the rest again, and end in a
whole-number programme; then again and again by lot with few patterns fixed at a time. A dive that fails proves
nothing.
"""

from __future__ import annotations

from random import Random

from listel.core.quick import dataclass
from listel.plugins.cutting.columns import Linear, fits, generate
from listel.plugins.cutting.correction import Work, corrected
from listel.plugins.cutting.greedy import start_plan
from listel.plugins.cutting.problem import Pattern, Problem, rounded_up, tidy
from listel.plugins.cutting.regroup import remaining

MOST_WORK = 6e6
"""Steps for one group: about six seconds."""
CORRECTED = 24
"""Plans by corrected worths, from their lengths and again from the prices of the linear programme."""
MOST_GAP = 2
"""Boards that a plan may stand over the bound for a dive to be worth while."""
RESTARTS = 40
PRUNED = 3
"""Second choices looked at that their bound rules out, and which cost no try."""
PARTS = (1.0, 0.5, 0.2, 0.1)
MOST_PATTERNS = 3000
NODES = 300
WHOLE_WORK = 100_000
"""Steps that a whole-number programme counts for."""
SOME = 1e-6


def nearer(problem: Problem, plan: tuple[Pattern, ...], linear: Linear, bound: int) -> tuple[Pattern, ...]:
    """A plan no dearer; the same where new boards have several prices, which this does not help."""
    prices = {stretch.price for stretch in problem.stretches if not stretch.rack}
    if len(prices) != 1 or any(stretch.rate for stretch in problem.stretches):
        return plan
    work = Work(MOST_WORK)
    for worths in (None, linear.prices.sizes):
        other = corrected(problem, CORRECTED, bound, work, worths)
        plan = min(plan, other or plan, key=lambda p: problem.total(p)[0])
        if problem.total(plan)[0] <= bound:
            return plan
    if problem.total(plan)[0] - bound > MOST_GAP * problem.grain:
        return plan
    found = _Dive(problem, bound, work).run(linear)
    return plan if found is None else tidy(problem, found)


@dataclass(frozen=True)
class _Way:
    """How a dive goes: the share of the pieces left that whole columns may take at once; the pieces left at which it is
    finished; how many second choices it has, down to which depth; and by whose lot, where by lot."""

    share: float = 1.0
    finish: int = 45
    choices: int = 2
    depth: int = 3
    lots: Random | None = None


class _Dive:
    """The search for a plan that costs no more than ``target``."""

    def __init__(self, problem: Problem, target: int, work: Work) -> None:
        self.problem, self.target, self.work = problem, target, work
        self.nodes = 0

    def run(self, linear: Linear) -> list[Pattern] | None:
        """The plan, or None."""
        found = self._go(self.problem, linear, [], _Way(), 0, _Way.choices)
        lots = Random(1)
        for _ in range(RESTARTS):
            if found is not None or self.work.done:
                break
            way = _Way(lots.choice((0.1, 0.2, 0.35)), lots.choice((45, 60, 80)), 0, 0, lots)
            found = self._go(self.problem, linear, [], way, 0, 0)
        return found

    def _spare(self, fixed: list[Pattern]) -> int:
        return self.target - self.problem.total(fixed)[0]

    def _go(
        self, rest: Problem, linear: Linear, fixed: list[Pattern], way: _Way, depth: int, choices: int
    ) -> list[Pattern] | None:
        while True:
            self.nodes += 1
            spare = self._spare(fixed)
            if self.work.done or rounded_up(linear.bound, rest.grain) > spare:
                return None
            if fixed:
                tail = corrected(rest, 2, spare, self.work, linear.prices.sizes, self.nodes)
                if tail is not None and rest.total(tail)[0] <= spare:
                    return [*fixed, *tail]
            taken = self._whole_columns(rest, linear, way)
            if not taken:
                return self._one_by_one(rest, linear, fixed, way, depth, choices)
            fixed = [*fixed, *taken]
            rest = remaining(rest, taken)
            if not rest.pieces:
                return fixed if self._spare(fixed) >= 0 else None
            linear = self._priced(rest, linear.master.columns, fixed)
            if rest.pieces <= way.finish:
                return self._finish(rest, linear, fixed)

    def _whole_columns(self, rest: Problem, linear: Linear, way: _Way) -> list[Pattern]:
        """The columns that the linear plan uses whole, as many as their share allows; one at least where there are
        any."""
        whole = [(c, int(u + SOME)) for c, u in zip(linear.master.columns, linear.usage, strict=False) if u >= 1 - SOME]
        if way.lots is not None:
            way.lots.shuffle(whole)
        taken: list[Pattern] = []
        pieces = 0
        for column, times in whole:
            many = sum(count for _, count in column[1])
            for _ in range(times):
                if (taken and pieces + many > way.share * rest.pieces) or not fits(remaining(rest, taken), column):
                    break
                taken.append(column)
                pieces += many
        return taken

    def _one_by_one(
        self, rest: Problem, linear: Linear, fixed: list[Pattern], way: _Way, depth: int, choices: int
    ) -> list[Pattern] | None:
        """The column nearest to whole, and so many second choices; one that its bound rules out costs no try."""
        usage = linear.usage
        order = sorted((n for n, u in enumerate(usage) if u > SOME), key=lambda n: (-usage[n], n))
        if way.lots is not None:
            lots = way.lots
            order.sort(key=lambda n: -(lots.random() ** (1 / usage[n])))
        tries = 1 + (choices if depth < way.depth else 0)
        live = 0
        for number in order[: tries + PRUNED]:
            if self.work.done or live >= tries:
                return None
            column = _cut_down(rest, linear.master.columns[number])
            now = [*fixed, column]
            after = remaining(rest, [column])
            if not after.pieces:
                if self._spare(now) >= 0:
                    return now
                continue
            priced = self._priced(after, linear.master.columns, now)
            if rounded_up(priced.bound, after.grain) > self._spare(now):
                continue
            if after.pieces <= way.finish:
                found = self._finish(after, priced, now)
            else:
                found = self._go(after, priced, now, way, depth + 1, choices - live)
            if found is not None:
                return found
            live += 1
        return None

    def _priced(self, rest: Problem, columns: list[Pattern], fixed: list[Pattern]) -> Linear:
        begin = [*(column for column in columns if fits(rest, column)), *start_plan(rest)]
        linear = generate(rest, begin, enough=self._spare(fixed) + rest.grain)
        sizes = sum(1 for count in rest.wanted if count)
        self.work.spend(len(linear.tried) * (400 + sizes**2 // 20 + sizes * linear.knapsack.full // 2000))
        return linear

    def _finish(self, rest: Problem, linear: Linear, fixed: list[Pattern]) -> list[Pattern] | None:
        """The rest by the everyday rules, by corrected worths, and by a whole-number programme."""
        spare = self._spare(fixed)
        if rounded_up(linear.bound, rest.grain) > spare:
            return None
        plan = start_plan(rest)
        if rest.total(plan)[0] > spare:
            plan = corrected(rest, 12, spare, self.work, linear.prices.sizes) or plan
        if rest.total(plan)[0] > spare:
            gaps = [part * (spare - linear.bound) for part in PARTS]
            near, _ = linear.knapsack.near(linear.prices, gaps, MOST_PATTERNS) or ([], None)
            known = [*near, *linear.master.columns]
            chosen, _ = linear.master.whole(known, plan, rest.grain, nodes=NODES, target=float(spare))
            self.work.spend(WHOLE_WORK)
            if chosen is None:
                return None
            plan = tidy(rest, chosen)
        return [*fixed, *plan] if rest.total(plan)[0] <= spare else None


def _cut_down(rest: Problem, column: Pattern) -> Pattern:
    """A column with no more of a size than is wanted."""
    number, cuts = column
    return number, tuple((size, min(count, rest.wanted[size])) for size, count in cuts if rest.wanted[size])
