"""Fewer pieces and less cloth for the same question: what surely lies by itself is set aside."""

from collections.abc import Sequence

from quiltgeom.cutting.solver.items import Demand, Item

Cloths = tuple[tuple[int, int], ...]
"""``(width, length)`` of every piece of cloth, eighths."""


def halves_of(demand: Demand, cloths: Cloths) -> tuple[Demand, Demand] | None:
    """Two lists, one or the other of which every plan cuts: at most half of the longest pieces
    that may still turn do, or more than half; None without pieces longer than half the width.

    >>> [[(i.width, i.count, i.may_turn) for i in d.items]
    ...  for d in halves_of(Demand.of([(9, 2, 3)], may_turn=True), ((10, 10),)) or ()]
    [[(9, 2, False), (9, 1, True)], [(2, 2, False), (9, 1, True)]]
    """
    room = min((w for w, _ in cloths), default=0)
    long = [
        (-max(i.width, i.height), k)
        for k, i in enumerate(demand.items)
        if i.may_turn and i.width != i.height and 2 * max(i.width, i.height) > room
    ]
    if not long:
        return None
    k = min(long)[1]
    i, most = demand.items[k], demand.items[k].count // 2

    def half(fixed: Item, free: int) -> Demand:
        some = (fixed, Item(i.width, i.height, free, True)) if free else (fixed,)
        return Demand((*demand.items[:k], *some, *demand.items[k + 1 :]))

    lying, standing = Item(i.width, i.height, i.count - most), Item(i.height, i.width, most + 1)
    return half(lying, most), half(standing, i.count - most - 1)


def reduced(demand: Demand, cloths: Cloths) -> tuple[Demand | None, Cloths]:
    """The same question with fewer pieces, less cloth and fewer ways to lie.

    A piece that fits one way only lies that way. On a single cloth, a piece so wide that no other
    fits beside it can be moved, with the whole strip that it lies in, to the end of the cloth
    without disturbing the others; so it may be taken away together with its strip. The same
    holds along the cloth. What is left fits if and only if the whole did.

    Returns:
        What is left of the list (None: a piece fits no cloth) and of the cloth.

    >>> four = Demand.of([(320, 36, 4), (196, 36, 4)], may_turn=True)
    >>> rest, cloth = reduced(four, ((320, 252),))
    >>> rest, cloth  # the long strips can no longer stand, so they need 36 too much
    (None, ((320, -36),))
    """
    items = list(demand.items)
    while True:
        fixed: list[Item] = []
        for item in items:
            ways = ways_on(item, cloths)
            if not ways:
                return None, cloths
            (w, h), free = ways[0], len(ways) == 2
            fixed.append(Item(w, h, item.count, free))
        change = _whole_strip(fixed, cloths[0]) if len(cloths) == 1 else None
        if change is None:
            return Demand(tuple(fixed)), cloths
        gone, cloths = change
        items = [i for k, i in enumerate(fixed) if k != gone]
        if min(cloths[0]) < 0 or not items:
            return (None if min(cloths[0]) < 0 else Demand(())), cloths


def ways_on(item: Item, cloths: Cloths) -> list[tuple[int, int]]:
    """In which ways a piece fits on one of the cloths."""
    ways = [(item.width, item.height)]
    if item.may_turn and item.width != item.height:
        ways.append((item.height, item.width))
    return [(a, b) for a, b in ways if any(a <= w and b <= h for w, h in cloths)]


def _whole_strip(items: Sequence[Item], cloth: tuple[int, int]) -> tuple[int, Cloths] | None:
    """An item beside whose pieces nothing fits, and the cloth without them."""
    width, length = cloth
    if len(items) == 1 and items[0].count == 1 and not items[0].may_turn:
        return 0, ((width, length - items[0].height),)
    twice = [i for item in items for i in [item] * min(item.count, 2)]
    narrow = sorted(min(i.width, i.height) if i.may_turn else i.width for i in twice)[:2]
    short = sorted(min(i.width, i.height) if i.may_turn else i.height for i in twice)[:2]
    for k, item in enumerate(items):
        if item.may_turn or len(twice) == 1:
            continue
        alone = item.count == 1  # what lies beside it is another one
        if item.width + narrow[alone and item.width == narrow[0]] > width:
            return k, ((width, length - item.height * item.count),)
        if item.height + short[alone and item.height == short[0]] > length:
            return k, ((width - item.width * item.count, length),)
    return None
