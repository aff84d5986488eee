"""A search over ways to run the day: many simulated days, the best one kept. Counted, not timed, so it repeats."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from random import Random

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.left_shift import left_shift
from enamelwright.planning.day.plan import DayPlan
from enamelwright.planning.day.policies import Policy, due_buckets, rules
from enamelwright.planning.day.problem import Problem
from enamelwright.planning.day.simulator import simulate

#: Share of tries that start afresh instead of changing the best.
FRESH = 0.35
#: Fresh tries draw from these.
FILLS, WIDTHS, STAGES, MOST_WAIT, MIXES = (0.4, 0.95), (1, 2, 3, 20), (1, -1, 0), 16, (0, 1)
#: Shares of the rack at which a rule of thumb that lets wet coats lie too long is played again, until none does.
EARLIER = (0.75, 0.5, 0.25)
#: Lateness that no plan avoids is not shortened by less than this share of it at the price of more time at the kiln.
LATE_ALIKE = 0.02
#: Says how far the search is and answers whether to go on.
Progress = Callable[[float, str], bool]
#: The search reports this often.
REPORT = 8


def go_on(fraction: float, words: str) -> bool:
    """Go on whatever happens: the progress of somebody who does not ask."""
    del fraction, words
    return True


def sticky(progress: Progress) -> Progress:
    """Return a progress that, once it has said stop, says so for good and asks no more."""
    going = [True]

    def ask(share: float, words: str) -> bool:
        going[0] = going[0] and progress(share, words)
        return going[0]

    return ask


def gains(plan: DayPlan, than: DayPlan) -> bool:
    """Whether a plan is better, and not just a little less late for more time at the kiln.

    Parameters
    ----------
    plan, than : DayPlan
        Of one problem.
    """
    new, old = plan.score, than.score
    if not new < old:
        return False
    if new.broken < old.broken or new.attended <= old.attended or new.late == old.late:
        return True
    return old.late - new.late >= LATE_ALIKE * old.late


def best_of(plans: Sequence[DayPlan]) -> DayPlan:
    """Return the plan to begin from: of those hardly later than the least late, the one that takes least.

    An end that is sooner is worth as much time of hands at the kiln as it is sooner.

    Parameters
    ----------
    plans : sequence of DayPlan
        Of one problem, at least one.
    """
    broken = min(plan.score.broken for plan in plans)
    sound = [plan for plan in plans if plan.score.broken == broken]
    late = min(plan.score.late for plan in sound)
    alike = [plan for plan in sound if plan.score.late - late <= LATE_ALIKE * late]
    return min(alike, key=lambda plan: (plan.score.finish + plan.score.attended, plan.score))


def _best_of(played: list[tuple[DayPlan, Policy]]) -> tuple[DayPlan, Policy]:
    best = best_of([plan for plan, _ in played])
    return next(each for each in played if each[0] is best)


class Search:
    """A reproducible search.

    Parameters
    ----------
    problem : Problem
        Checked before.
    seed : int
        Of the draws.
    """

    def __init__(self, problem: Problem, seed: int = 1) -> None:
        self.problem, self.chance = problem, Random(seed)
        self.best: DayPlan | None = None
        self.policy: Policy | None = None
        self.shifts: dict[tuple[object, ...], float] = {}
        self.width = 1
        self.baselines: list[tuple[str, DayPlan]] = []
        self.tried = 0
        self._wet = any(step.longest is not None for piece in problem.pieces for step in piece.steps)
        self._groups = list(dict.fromkeys(piece.group for piece in problem.pieces))
        self._buckets = {width: due_buckets(problem, width) for width in WIDTHS}

    def start(self) -> None:
        """Play every rule of thumb; the best of them, begun now or when the hours open next, is the first plan.

        Raises
        ------
        OutOfReach
            When no rule finishes inside the calendar.
        """
        trouble: OutOfReach | None = None
        played: list[tuple[DayPlan, Policy]] = []
        for rule in rules(self.problem):
            try:
                played.append(self._in_time(rule.policy))
            except OutOfReach as error:
                trouble = error
                continue
            self.baselines.append((rule.name, played[-1][0]))
        if not played and trouble is not None:
            raise trouble
        filling = [each for each in played if each[1].fill]
        if filling:
            played += self._begun_later(_best_of(filling)[1])
        self.best, self.policy = _best_of(played)

    def _begun_later(self, policy: Policy) -> Iterator[tuple[DayPlan, Policy]]:
        """Play a rule as if work began when the next stretch of hours opens, and time its order from now.

        How loads fall together hangs on the hour at which a rule begins; who asks early is to have no worse than by
        waiting.
        """
        problem, calendar = self.problem, self.problem.calendar
        try:
            following = calendar.window_at(calendar.fit(calendar.to_axis(problem.now), 1)) + 1
            if following < len(calendar.windows):
                order = simulate(replace(problem, now=calendar.windows[following][0]), policy).items
                yield left_shift(problem, order), policy
        except OutOfReach:
            return

    def _in_time(self, policy: Policy) -> tuple[DayPlan, Policy]:
        """Play a rule of thumb; one that lets wet coats lie too long fires sooner instead.

        It changes the heat of the kiln though there is bench work, and then fires with less of the rack full.
        """
        plan = simulate(self.problem, policy)
        best = plan, policy
        if policy.patient and self._wet:
            policy = replace(policy, patient=False)
            plan = simulate(self.problem, policy)
            if gains(plan, best[0]):
                best = plan, policy
        fills = EARLIER if policy.change else (policy.fill, *EARLIER)
        for fill in fills if best[0].score.broken and not policy.single else ():
            sooner = replace(policy, fill=fill, change=True)
            plan = simulate(self.problem, sooner)
            if plan.score < best[0].score:
                best = plan, sooner
            if not plan.score.broken:
                break
        return best

    def run(self, tries: int, progress: Progress = go_on) -> DayPlan:
        """Try so many ways.

        Parameters
        ----------
        tries : int
            Simulated days, the rules of thumb not counted.
        progress : callable
            Told now and then; stops the search by answering False.

        Returns
        -------
        DayPlan
            The best that was found; see :func:`best_of` and :func:`gains`.
        """
        if self.best is None:
            self.start()
        assert self.best is not None
        for number in range(tries):
            if number % REPORT == 0 and not progress(number / tries, f"{self.tried} ways to order the work tried"):
                break
            policy, shifts, width = self._draw()
            self.tried += 1
            try:
                plan = simulate(self.problem, policy)
            except OutOfReach:
                continue
            if gains(plan, self.best) or (plan.score == self.best.score and self.chance.random() < 0.5):
                self.best, self.policy, self.shifts, self.width = plan, policy, shifts, width
        return self.best

    def _draw(self) -> tuple[Policy, dict[tuple[object, ...], float], int]:
        chance = self.chance
        if chance.random() < FRESH or self.policy is None:
            width, shifts = chance.choice(WIDTHS), dict[tuple[object, ...], float]()
            policy = Policy(
                stage=chance.choice(STAGES),
                fill=chance.uniform(*FILLS),
                wait=chance.randint(0, MOST_WAIT),
                mix=chance.choice(MIXES),
                patient=self._wet and chance.random() < 0.5,
            )
        else:
            width, shifts, policy = (
                self.width,
                dict(self.shifts),
                replace(self.policy, single=False, only=0, change=True),
            )
            if chance.random() < 0.5 and self._groups:
                group = chance.choice(self._groups)
                shifts[group] = shifts.get(group, 0.0) + chance.uniform(-1.0, 1.0)
            else:
                which = chance.randrange(6 if self._wet else 5)
                if which == 0:
                    policy = replace(policy, fill=chance.uniform(*FILLS))
                elif which == 1:
                    width = chance.choice(WIDTHS)
                elif which == 2:
                    policy = replace(policy, stage=chance.choice(STAGES))
                elif which == 3:
                    policy = replace(policy, wait=chance.randint(0, MOST_WAIT))
                elif which == 4:
                    policy = replace(policy, mix=chance.choice(MIXES))
                else:
                    policy = replace(policy, patient=not policy.patient)
        offsets = tuple(shifts.get(piece.group, 0.0) for piece in self.problem.pieces)
        return replace(policy, buckets=self._buckets[width], offsets=offsets), shifts, width
