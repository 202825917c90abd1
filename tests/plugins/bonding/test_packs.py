"""What is bought comes in the packs that merchants usually sell: common practice, no source."""

from __future__ import annotations

import pytest

from listel.core.contract.findings import Grounds
from listel.plugins.bonding.packs import sold
from listel.plugins.bonding.results import Material

SOLD = {
    "screws": (50, 100, 200),
    "nails": (250, 500, 1000),
    "pins": (500, 1000),
    "plugs": (100, 300),
    "pellets": (50, 100),
    "anchors": (10, 25, 100),
    "adhesive": (290,),
    "sealant": (290,),
    "filler": (250, 500, 1000),
    "knotting": (250, 500, 1000),
    "paint": (0.75, 1, 2.5, 5),
}
SOLD_IN_AMERICA = {
    "nails": (150, 750),
    "adhesive": (299,),
    "sealant": (299,),
    "filler": (237, 473, 946),
    "knotting": (473, 946),
    "paint": (0.946, 3.785),
}
PACKS = [
    (kind, size, after, american)
    for american, sold_there in ((False, SOLD), (True, SOLD_IN_AMERICA))
    for kind, sizes in sold_there.items()
    for size, after in zip(sizes, (*sizes[1:], None), strict=True)
]


@pytest.mark.parametrize(("kind", "size", "after", "american"), PACKS)
def test_a_pack_holds_its_size_and_no_more(kind: str, size: float, after: float | None, american: bool):
    def packs(quantity: float) -> tuple[int | None, str]:
        found = sold(kind, Material("any", quantity, "each", "", Grounds()), american=american)
        return found.count, found.pack

    full, over = packs(size), packs(size * 1.001)
    assert full[0] == 1
    assert over == (2, full[1]) if after is None else over == packs(after)
    assert over != full
