"""The day played through, event by event: the earliest free person is asked what to do next, and a policy answers."""

from __future__ import annotations

from bisect import bisect_right, insort
from dataclasses import dataclass, field
from heapq import heapify, heappop, heappush
from typing import NamedTuple

from enamelwright.errors import OutOfReach
from enamelwright.planning.day.crew import Crew
from enamelwright.planning.day.in_time import InTime
from enamelwright.planning.day.plan import DayPlan, Item
from enamelwright.planning.day.policies import NEVER, Policy
from enamelwright.planning.day.problem import Problem, Step

#: A person is asked at most this many times for each step; more means the rule waits for something that never comes.
PATIENCE = 400


class _Kind(NamedTuple):
    """Bench steps that ask for the same."""

    length: int
    skill: str
    stations: tuple[tuple[int, int], ...]
    setup: int


class _Key(NamedTuple):
    """Place in a queue."""

    bucket: int
    stage: int
    offset: float
    piece: int
    step: int


@dataclass
class _KilnState:
    free: int
    last: int
    day: int
    loads: dict[int, tuple[list[_Key], int, bool]] = field(default_factory=dict)


def simulate(problem: Problem, policy: Policy) -> DayPlan:
    """Play the day through.

    Parameters
    ----------
    problem : Problem
        Checked before: every step can be done by somebody, somewhere.
    policy : Policy
        What to do next.

    Returns
    -------
    DayPlan
        Every step placed.

    Raises
    ------
    OutOfReach
        When the calendar ends before the work does.
    """
    return _Day(problem, policy).run()


class _Day:
    def __init__(self, problem: Problem, policy: Policy) -> None:
        self.problem, self.policy = problem, policy
        self.calendar = problem.calendar
        count = len(problem.pieces)
        self.buckets = policy.buckets or (0,) * count
        self.offsets = policy.offsets or (0.0,) * count
        self.crew = Crew(problem)
        clock_start = self.calendar.to_axis(problem.now)
        self.kilns = [
            _KilnState(max(self.calendar.to_axis(k.free), clock_start), k.last, self._day_of_kiln(k.free))
            for k in problem.kilns
        ]
        self.hot: list[dict[int, int]] = [{} for _ in problem.kilns]
        self.place = [piece.first for piece in problem.pieces]
        self.left = sum(len(piece.steps) - piece.first for piece in problem.pieces)
        self.pending: list[tuple[int, int]] = []
        self.bench: dict[_Kind, list[_Key]] = {}
        self.waiting: list[list[_Key]] = [[] for _ in problem.families]
        self.urgent = [0] * len(problem.families)
        self.coming: list[dict[int, int]] = [{} for _ in problem.families]
        self.next_firing = [self._firings_ahead(piece.steps) for piece in problem.pieces]
        self.station_ends: list[list[tuple[int, int]]] = [[] for _ in problem.stations]
        self.items: list[Item] = []
        self.lowest = 0
        self.now = 0
        self.held = NEVER
        self.in_time = InTime(problem, self.kiln_ready)
        self.ready_at = [0] * count
        self.longest_bench = max((s.length for p in problem.pieces for s in p.steps if not s.fires), default=0)
        self.lies_until = [0] * count
        self.blocked: dict[tuple[int, int], int] = {}
        self.ready_after: dict[tuple[int, int], int] = {}
        for earlier, later, _ in problem.after:
            if earlier[1] < self.place[earlier[0]]:  # done before this plan begins
                continue
            self.blocked[later] = self.blocked.get(later, 0) + 1
        for number, piece in enumerate(problem.pieces):
            if piece.first < len(piece.steps):
                self._coming(number, 1)
                self.in_time.comes(number, piece.first)
                self._queue(number, max(self.calendar.to_axis(piece.release), clock_start))
        heapify(self.pending)

    def _day_of_kiln(self, free: int) -> int:
        return free // self.calendar.day_length if free > 0 else -1

    @staticmethod
    def _firings_ahead(steps: tuple[Step, ...]) -> list[int]:
        """For each step, the family of the next firing at or after it; -1 for none."""
        ahead, families = -1, []
        for step in reversed(steps):
            ahead = step.family if step.fires else ahead
            families.append(ahead)
        return families[::-1]

    def _coming(self, number: int, change: int) -> None:
        """Count a piece as on its way to its next firing, or no more."""
        place = self.place[number]
        if place < len(self.next_firing[number]):
            family = self.next_firing[number][place]
            if family >= 0 and not self.problem.pieces[number].steps[place].fires:
                table, bucket = self.coming[family], self.buckets[number]
                table[bucket] = table.get(bucket, 0) + change

    def _queue(self, number: int, ready: int) -> None:
        ref = (number, self.place[number])
        pinned = self.problem.step(ref).earliest
        ready = max(ready, self.calendar.to_axis(pinned)) if pinned else ready
        self.ready_at[number] = ready
        if self.blocked.get(ref):
            self.ready_after[ref] = max(ready, self.ready_after.get(ref, 0))
        else:
            heappush(self.pending, (max(ready, self.ready_after.get(ref, 0)), number))

    def _key(self, number: int, place: int) -> _Key:
        steps = self.problem.pieces[number].steps
        bucket = self.buckets[number]
        if place and steps[place - 1].longest is not None:
            bucket = -1
        return _Key(bucket, self.policy.stage * place, self.offsets[number], number, place)

    def _arrive(self, now: int) -> None:
        """Move what has become ready to where it can be chosen."""
        while self.pending and self.pending[0][0] <= now:
            _, number = heappop(self.pending)
            place = self.place[number]
            step, key = self.problem.pieces[number].steps[place], self._key(number, place)
            if step.fires:
                insort(self.waiting[step.family], key._replace(stage=0))
                self.urgent[step.family] += key.bucket < 0
                for kiln in self.kilns:
                    kiln.loads.pop(step.family, None)
            else:
                kind = _Kind(step.length, step.skill, step.stations, step.setup)
                heappush(self.bench.setdefault(kind, []), key)

    def run(self) -> DayPlan:
        """Ask the earliest free person again and again until nothing is left."""
        people = [(free, 0, n) for n, free in enumerate(self.crew.free) if not self.problem.people[n].gone]
        heapify(people)
        patience, now = PATIENCE * (self.left + 10) * max(len(people), 1), 0
        while self.left:
            patience -= 1
            if not people or patience < 0:
                raise OutOfReach("the work never ends: some step is never ready.", "Check the orders between pieces.")
            free, turn, person = heappop(people)
            now = self.now = max(now, free)
            at = self.crew.fit(person, now, 1)
            if at > now:
                heappush(people, (at, 0, person))
                continue
            self._arrive(now)
            left = self.left
            again = self._ask(person, now, people)
            if left == self.left and turn == 0 and any(time <= now and not round_ for time, round_, _ in people):
                heappush(people, (now, 1, person))  # what the others begin now may bring something up
            else:
                heappush(people, (again, 0, person))
        return DayPlan.of(self.problem, self.items)

    def _ask(self, person: int, now: int, people: list[tuple[int, int, int]]) -> int:
        """Give one person something to do, and return when to ask again."""
        bench = self._best_bench(person, now)
        load = self._best_load(person, now, bench is not None)
        if load is None and bench is not None:
            return self._work(person, now, *bench)
        if load is None:
            load = self._best_load(person, now, bench=False)
        if load is not None:
            start, family, kiln, keys = load
            if self.calendar.day_at(start) != self.calendar.day_at(now):
                return min(start, self._next_event(person, now, people))
            if start > now and bench is None:
                soon = self._next_event(person, now, people)
                if soon < start:  # something may come up before the kiln is ready
                    return soon
            return self._fire(person, start, family, kiln, keys)
        return self._next_event(person, now, people)

    def _allowed(self) -> set[int]:
        """Return the lowest unfinished pieces, when only those are worked on; one put by for long is not in hand."""
        pieces = self.problem.pieces
        while self.lowest < len(pieces) and self.place[self.lowest] >= len(pieces[self.lowest].steps):
            self.lowest += 1
        found: set[int] = set()
        number = self.lowest
        while number < len(pieces) and len(found) < self.policy.only:
            in_hand = self.ready_at[number] <= self.now + self.calendar.cut
            if in_hand and self.place[number] < len(pieces[number].steps):
                found.add(number)
            number += 1
        return found

    def _best_bench(self, person: int, now: int) -> tuple[_Kind, int, int] | None:
        """Return the best bench step this person can begin now, and the cleaning before it."""
        best: tuple[object, ...] | None = None
        chosen: tuple[_Kind, int, int] | None = None
        worker, day = self.problem.people[person], self.calendar.day_at(now)
        allowed = self._allowed() if self.policy.only else None
        held = NEVER
        for kind, heap in self.bench.items():
            if not heap or not worker.can(kind.skill):
                continue
            wash = self.crew.wash(person, kind.setup, day)
            if not self._stations_free(kind.stations, now) or self.crew.fit(person, now, kind.length + wash) != now:
                continue
            place = 0
            if allowed is not None:
                places = [n for n, key in enumerate(heap) if key.piece in allowed]
                if not places:
                    continue
                place = min(places, key=lambda n: heap[n])
            key = heap[place]
            over = self.in_time.too_early(key.piece, key.step, now + kind.length + wash)
            if over:
                held = min(held, now + over)
                continue
            rank = (key.bucket, key.stage, wash, kind.setup, key.offset, key.piece, key.step)
            if best is None or rank < best:
                best, chosen = rank, (kind, place, wash)
        self.held = held
        return chosen

    def _stations_free(self, stations: tuple[tuple[int, int], ...], now: int) -> bool:
        for number, amount in stations:
            held = self.station_ends[number] = [pair for pair in self.station_ends[number] if pair[0] > now]
            if sum(n for _, n in held) + amount > self.problem.stations[number].capacity:
                return False
        return True

    def _load_of(self, family: int, number: int) -> tuple[list[_Key], int, bool]:
        """Fill a load greedily: (members, units used, whether it is full)."""
        state, kiln = self.kilns[number], self.problem.kilns[number]
        known = state.loads.get(family)
        if known is not None:
            return known
        room, full = kiln.rack, False
        members: list[_Key] = []
        for key in self.waiting[family]:
            size = kiln.sizes[self.problem.pieces[key.piece].steps[key.step].shape]
            if size <= room and not (self.policy.single and members):
                members.append(key)
                room -= size
            elif size <= kiln.rack:
                full = True
        used = kiln.rack - room
        state.loads[family] = (members, used, full or used >= self.policy.fill * kiln.rack or self.policy.single)
        return state.loads[family]

    def kiln_ready(self, number: int, family: int, now: int) -> int:
        """Return when a kiln may take a load of a family, as seen from `now`."""
        state, kiln, day = self.kilns[number], self.problem.kilns[number], self.calendar.day_at(now)
        if state.day != day:
            hot = self.hot[number]
            if day not in hot:
                hot[day] = self.calendar.hot_from(day, kiln.cold)
            return max(hot[day], state.free)
        return state.free + kiln.recovery + self.problem.change(kiln, state.last, family)

    def _hurries(self, family: int, now: int) -> bool:
        """Whether a coat of a family must be fired now: a patient one lies until the next chance may be too late."""
        if not self.urgent[family] or not self.policy.patient:
            return bool(self.urgent[family])
        first = min(self.lies_until[key.piece] for key in self.waiting[family] if key.bucket < 0)
        step = self.problem.step(self.waiting[family][0][-2:])
        return self.in_time.too_late(step, now + self.longest_bench, first)

    def _more_coming(self, family: int) -> bool:
        bucket = self.waiting[family][0].bucket
        if bucket < 0 and not self.policy.patient:
            return False
        if bucket < 0:
            bucket = min(self.buckets[key.piece] for key in self.waiting[family])
        return any(count > 0 and later <= bucket + self.policy.mix for later, count in self.coming[family].items())

    def _best_load(self, person: int, now: int, bench: bool) -> tuple[int, int, int, list[_Key]] | None:
        """Return the best load (start, family, kiln, members); fewer are allowed while there is bench work."""
        best: tuple[float, ...] | None = None
        chosen: tuple[int, int, int, list[_Key]] | None = None
        patient = self.policy.patient
        for family, waiting in enumerate(self.waiting):
            if not waiting or not self.problem.people[person].can(self.problem.families[family].skill):
                continue
            hurries = self._hurries(family, now)
            for number, kiln in enumerate(self.problem.kilns):
                if not kiln.fires(family):
                    continue
                members, used, full = self._load_of(family, number)
                if self.policy.only:
                    allowed = self._allowed()
                    members = [key for key in self.waiting[family] if key.piece in allowed][:1]
                if not members:
                    continue
                if bench:
                    if not full and not hurries and self._more_coming(family):
                        continue
                    state = self.kilns[number]
                    if not self.policy.change and state.last >= 0 and state.last != family:
                        continue
                start = self._start_of_load(person, now, family, number, members)
                if bench and start - now > self.policy.wait:
                    continue
                rank: tuple[float, ...]
                rank = (start, -used, family, number) if bench else (-used, start, family, number)
                if not bench and self.policy.only:
                    rank = (start, members[0].piece, family, number)
                if patient:
                    rank = (not hurries, *rank)
                if best is None or rank < best:
                    best, chosen = rank, (start, family, number, members)
        return chosen

    def _length(self, members: list[_Key]) -> int:
        return max(self.problem.pieces[key.piece].steps[key.step].length for key in members)

    def _start_of_load(self, person: int, now: int, family: int, kiln: int, members: list[_Key]) -> int:
        length, kind = self._length(members), self.problem.families[family]
        at = max(now, self.kiln_ready(kiln, family, now))
        while True:
            if kind.attention == "whole":
                start = self.crew.fit(person, at, length)
            else:
                start = self.crew.fit_ends(person, at, length, kind)
            again = self.kiln_ready(kiln, family, start)
            if again <= start:
                return start
            at = again

    def _work(self, person: int, now: int, kind: _Kind, place: int, wash: int) -> int:
        """Do one bench step from now."""
        heap = self.bench[kind]
        if place == 0:
            key = heappop(heap)
        else:
            key = heap.pop(place)
            heapify(heap)
        end = now + wash + kind.length
        self.items.append(Item(now, end - now, ((key.piece, key.step),), (person,), washing=wash))
        self.crew.take(person, now, end - now)
        self.crew.use(person, kind.setup, self.calendar.day_at(now))
        for number, amount in kind.stations:
            self.station_ends[number].append((end, amount))
        self._done(key, end)
        return end

    def _fire(self, person: int, start: int, family: int, number: int, keys: list[_Key]) -> int:
        length, kind = self._length(keys), self.problem.families[family]
        self.items.append(Item(start, length, tuple((k.piece, k.step) for k in keys), (person, person), number, family))
        if kind.attention == "whole":
            self.crew.take(person, start, length)
        else:
            self.crew.take(person, start, kind.putting)
            self.crew.promise(person, start + length - kind.taking, kind.taking)
        state = self.kilns[number]
        state.free, state.last, state.day = start + length, family, self.calendar.day_at(start)
        chosen = set(keys)
        self.waiting[family] = [key for key in self.waiting[family] if key not in chosen]
        self.urgent[family] -= sum(key.bucket < 0 for key in keys)
        for kiln in self.kilns:
            kiln.loads.pop(family, None)
        for key in keys:
            self.in_time.goes(key.piece, key.step)
            self._done(key, start + length)
        return self.crew.free[person]

    def _done(self, key: _Key, end: int) -> None:
        """A step is done: the next one of the piece becomes ready after its wait."""
        number = key.piece
        self.left -= 1
        self._coming(number, -1)
        self.place[number] += 1
        steps = self.problem.pieces[number].steps
        for later, wait in self.problem.followers.get((number, key.step), ()):
            self.blocked[later] -= 1
            self.ready_after[later] = max(self.ready_after.get(later, 0), self.calendar.after(end, wait))
            if not self.blocked[later] and self.place[later[0]] == later[1] and later[0] != number:
                heappush(self.pending, (self.ready_after[later], later[0]))
        longest = steps[key.step].longest
        if longest is not None:
            self.lies_until[number] = self.calendar.to_clock(end) + longest
        if self.place[number] < len(steps):
            self._coming(number, 1)
            self.in_time.comes(number, key.step + 1)
            self._queue(number, self.calendar.after(end, steps[key.step].wait))

    def _next_event(self, person: int, now: int, people: list[tuple[int, int, int]]) -> int:
        """Return the next moment at which something may have changed for this person."""
        soon = self.held if self.held > now else NEVER
        if self.pending:
            soon = min(soon, self.pending[0][0])
        for free, _, other in people:
            if other != person and now < free < soon:
                soon = free
        for ends in self.station_ends:
            for end, _ in ends:
                if now < end < soon:
                    soon = end
        for a, b in self.crew.promised[person]:
            for moment in (a, b):
                if now < moment < soon:
                    soon = moment
        for family, waiting in enumerate(self.waiting):
            if waiting:
                for number, kiln in enumerate(self.problem.kilns):
                    ready = self.kiln_ready(number, family, now) if kiln.fires(family) else now
                    if now < ready < soon:
                        soon = ready
        window = bisect_right(self.calendar.starts, now)
        if window < len(self.calendar.starts):
            soon = min(soon, self.calendar.starts[window])
        return soon if soon > now else now + 1
