"""The published texts that the woods rest on.

"read" means that the figure stood in a stored text that was looked at, often a page that
repeats a handbook; "memory" that it was recalled and no printed book was opened. Where one
text holds both kinds, each value of `values.csv` says which it is.
"""

from __future__ import annotations

from rimwright.sources import Source, register

register(
    Source(
        "WH190_CH4",
        "Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, chapter 4",
        "read in part, the rest from memory",
    ),
    Source(
        "WH190_CH5",
        "Forest Products Laboratory 2010, Wood Handbook, FPL-GTR-190, chapter 5",
        "read in part, the rest from memory",
    ),
    Source(
        "ALDEN_1995",
        "Alden 1995, Hardwoods of North America, FPL-GTR-83",
        "read for black walnut, the rest from memory",
    ),
    Source(
        "CHUDNOFF_1984",
        "Chudnoff 1984, Tropical Timbers of the World, Agriculture Handbook 607",
        "read",
    ),
    Source("CIRAD_TROPIX", "CIRAD, Tropix sheets for ovengkol and wenge, reprints", "read"),
    Source("WH_DATASET", "An engineering data page repeating Wood Handbook values", "read"),
    Source("WH_LIST", "A web list of US species repeating Wood Handbook values", "read"),
    Source(
        "WH_T45B_MAIL",
        "An engineers' mailing list of 2004 copying Wood Handbook Table 4-5b",
        "read",
    ),
    Source("TIMBER_LISTING", "Timber trade pages on single species", "read"),
    Source(
        "WOODDB_REPOST",
        "Merchants' and makers' pages repeating entries of a species database",
        "read, Mediterranean cypress from memory",
    ),
    Source("BLACKWOOD_SPEC", "A timber merchant's specification of blackwood", "read"),
    Source("BLACKWOOD_SLIDES", "A slide set on Acacia melanoxylon", "read"),
    Source("STEVENS_TURNER_1970", "Stevens & Turner 1970, Wood Bending Handbook, HMSO", "memory"),
    Source(
        "WH_BENDTEST",
        "Forest Products Laboratory, Wood Handbook, older editions: steam bending test",
        "memory",
    ),
    Source(
        "LAVERS_1983",
        "Lavers 1983, The Strength Properties of Timber, 3rd ed., HMSO",
        "memory",
    ),
    Source(
        "BOTANICAL_DERMATOLOGY",
        "Botanical Dermatology Database, Leguminosae and Meliaceae",
        "read in part",
    ),
    Source("HAUSEN_1981", "Hausen 1981, Woods Injurious to Human Health, de Gruyter", "memory"),
)
