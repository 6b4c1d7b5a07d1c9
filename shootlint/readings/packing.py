"""What the plan takes along: every thing that some setup uses, with its count."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from shootlint.language.model import Plan


@dataclass(frozen=True)
class Item:
    """One line of the packing list."""

    kind: str
    name: str
    count: int


def packing_list(plan: Plan) -> list[Item]:
    """The things to pack, in the order in which setups use them: of each as many as one setup uses at once.

    Steps, stools and benches come by height, ballast by the kilograms that one setup hangs at once.
    """
    most: Counter[tuple[str, str]] = Counter()
    for setup in plan.setup:
        used: Counter[tuple[str, str]] = Counter()
        used["camera", str(setup.camera)] += 1
        used["lens", str(setup.lens.name)] += 1
        used.update(("filter", str(name)) for name in setup.filter)
        if setup.support is not None and setup.support.kind == "tripod":
            used["support", "tripod"] += 1
        for placement in setup.place:
            used["light", str(placement.light)] += 1
            used.update(("gel", str(name)) for name in placement.gel)
            if placement.stand is not None:
                used["stand", str(placement.stand)] += 1
            if placement.bag is not None and placement.bag.value > 0:
                used["bag", str(placement.bag)] += 1
        for row in setup.row:
            for member in row.members:
                if member.on is not None and member.on.value > 0:
                    kind = "seat" if member.pose == "seated" else "step"
                    used[kind, f"{member.on} high"] += 1
        for thing, count in used.items():
            most[thing] = max(most[thing], count)
    return [Item(kind, name, count) for (kind, name), count in most.items()]
