"""Species and their numbers. In: a name. Out: `Species`.

Public:
    SPECIES: dict name -> Species, in alphabetical order
Sources: USDA Forest Products Laboratory, Wood Handbook, FPL-GTR-190: total shrinkage, Table 4-3; coefficients
of dimensional change, Table 13-5; specific gravity at 12 %, Table 5-3a, most read only in a secondary text.
What was read in neither is told in a comment: from memory, computed (C from S), or the value of a commercial
group.
Promise: averages of clear wood, no more; a board of one's own differs.
"""

from __future__ import annotations

from stockwright.frozen import frozen

__all__ = ["SPECIES", "Species"]


@frozen
class Species:
    """One species. `gravity`: ovendry mass, volume at 12 %; shrinkages: green to ovendry, %.

    `radial` and `tangential` are the change of size per % of moisture content.
    """

    name: str
    title: str
    gravity: float
    shrinkage_radial: float
    shrinkage_tangential: float
    radial: float
    tangential: float


SPECIES: dict[str, Species] = {
    species.name: species
    for species in (
        Species("alder-red", "Alder, red", 0.41, 4.4, 7.3, 0.00151, 0.00256),
        Species("ash-white", "Ash, white", 0.60, 4.9, 7.8, 0.00169, 0.00274),
        Species("aspen-quaking", "Aspen, quaking", 0.38, 3.5, 6.7, 0.00119, 0.00234),
        Species("basswood", "Basswood", 0.37, 6.6, 9.3, 0.00230, 0.00330),
        Species("beech-american", "Beech, American", 0.64, 5.5, 11.9, 0.00190, 0.00431),
        Species("birch-yellow", "Birch, yellow", 0.62, 7.3, 9.5, 0.00256, 0.00338),
        Species("butternut", "Butternut", 0.38, 3.4, 6.4, 0.00116, 0.00223),
        Species("cherry-black", "Cherry, black", 0.50, 3.7, 7.1, 0.00126, 0.00248),
        Species("elm-american", "Elm, American", 0.50, 4.2, 9.5, 0.00144, 0.00338),
        Species("hackberry", "Hackberry", 0.53, 4.8, 8.9, 0.00165, 0.00315),
        Species("hickory-pecan", "Hickory, pecan", 0.66, 4.9, 8.9, 0.00169, 0.00315),
        # memory: shrinkage_radial, shrinkage_tangential
        Species("maple-red", "Maple, red", 0.54, 4.0, 8.2, 0.00137, 0.00289),
        Species("maple-sugar", "Maple, sugar", 0.63, 4.8, 9.9, 0.00165, 0.00353),
        # memory: shrinkage_radial, shrinkage_tangential; group: radial, tangential
        Species("oak-northern-red", "Oak, northern red", 0.63, 4.0, 8.6, 0.00158, 0.00369),
        # group: radial, tangential
        Species("oak-white", "Oak, white", 0.68, 5.6, 10.5, 0.00180, 0.00365),
        # memory: gravity
        Species("sweetgum", "Sweetgum", 0.52, 5.3, 10.2, 0.00183, 0.00365),
        # memory: gravity
        Species("sycamore", "Sycamore", 0.49, 5.0, 8.4, 0.00172, 0.00296),
        Species("walnut-black", "Walnut, black", 0.55, 5.5, 7.8, 0.00190, 0.00274),
        # memory: gravity; computed: radial, tangential
        Species("yellow-poplar", "Yellow-poplar", 0.42, 4.6, 8.2, 0.00158, 0.00289),
        # computed: radial
        Species("douglas-fir-coast", "Douglas-fir, coast", 0.48, 4.8, 7.6, 0.00165, 0.00267),
        # memory: gravity, shrinkage_radial, shrinkage_tangential, radial, tangential
        Species("pine-eastern-white", "Pine, eastern white", 0.35, 2.1, 6.1, 0.00071, 0.00212),
        # memory: gravity, shrinkage_radial, shrinkage_tangential, radial, tangential
        Species("pine-loblolly", "Pine, loblolly", 0.51, 4.8, 7.4, 0.00165, 0.00259),
        # memory: gravity, shrinkage_radial, shrinkage_tangential, radial
        Species("pine-longleaf", "Pine, longleaf", 0.59, 5.1, 7.5, 0.00176, 0.00263),
        # memory: shrinkage_radial, shrinkage_tangential, radial, tangential
        Species("pine-ponderosa", "Pine, ponderosa", 0.40, 3.9, 6.2, 0.00133, 0.00216),
    )
}
