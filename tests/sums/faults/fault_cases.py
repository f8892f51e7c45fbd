"""Random small hunts, and an expected cost worked out the long way, sharing no code with the product."""

import random

from onceapart.sums.faults.hunt import Access, Check, make_hunt


def random_hunt(seed, count, *, shared=True, sure=False, apart=False, give_up=None):
    """A hunt with so many checks. ``apart``: no two checks show the same cause."""
    rng = random.Random(seed)
    causes = [(f"cause {n}", rng.randint(1, 50)) for n in range(count + 1)]
    access = []
    if shared:
        access = [Access("up", rng.randint(0, 30)), Access("wheel", rng.randint(1, 20), ("up",))]
        access += [
            Access("shield", rng.randint(1, 20)),
            Access("hub", rng.randint(5, 60), ("wheel", "shield")),
        ]
    checks = []
    for n in range(count):
        finds = {n} if apart else {n, *rng.sample(range(count + 1), rng.choice([0, 0, 1, 2]))}
        needs = (
            tuple(name for name in rng.sample([each.name for each in access], rng.choice([0, 1, 1, 2])))[
                : len(access)
            ]
            if access
            else ()
        )
        checks.append(
            Check(
                f"check {n}",
                tuple(f"cause {each}" for each in sorted(finds)),
                rng.randint(0, 40),
                rng.choice([0, 0, 5, 20.5]),
                needs,
                1.0 if sure else rng.choice([1.0, 1.0, 0.9, 0.5]),
            )
        )
    return make_hunt(causes, checks, access, hour_worth=rng.choice([6, 12, 30]), give_up=give_up)


def long_way_cost(hunt, order, *, stop_with_give_up=True):
    """Expected cost by following each cause by itself through the checks."""
    lies_under = {each.name: each.under for each in hunt.access}
    minutes_of = {each.name: each.minutes for each in hunt.access}
    total = 0.0
    for cause, chance in hunt.chances.items():
        still, opened = 1.0, set(hunt.open_access)
        for check in order:
            minutes = check.minutes
            waiting = list(check.access)
            while waiting:
                name = waiting.pop()
                waiting.extend(lies_under[name])
                if name not in opened:
                    opened.add(name)
                    minutes += minutes_of[name]
            total += chance * still * (check.price + minutes * hunt.hour_worth / 60)
            if cause in check.finds:
                still *= 1 - check.sees
        if stop_with_give_up and hunt.give_up is not None:
            total += chance * still * hunt.give_up
    return total
