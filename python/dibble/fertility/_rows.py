"""Rows of the answers: plain dicts as `to_dict` gives them, for those who check types."""

from __future__ import annotations

from typing import Any, Literal, NotRequired, TypeAlias, TypedDict

Meaning: TypeAlias = Literal["very short", "short", "marginal", "enough", "more than enough", "too much"]
"""What a class means: one list, to which the words of each service are mapped."""

Status: TypeAlias = Literal["ok", "usable with assumption", "not usable"]
"""How far a sample can be used."""

PhVerdict: TypeAlias = Literal["lime", "do not lime", "too high"]
"""What to do about the pH."""

SulfurVerdict: TypeAlias = Literal["lower the pH", "not needed", "cannot be reached"]
"""What sulfur can do."""

LimeBasis: TypeAlias = Literal["pure calcium carbonate", "agricultural lime"]
"""What a lime rate is a rate of."""

NeedBasis: TypeAlias = Literal["rate of the table", "build-up", "removal", "nothing", "dolomite", "no published rate"]
"""What a need rests on."""

Standing: TypeAlias = Literal["below", "within", "above"]
"""Where a value stands to a range."""

Form: TypeAlias = Literal["element", "oxide"]
"""The form a weight is written in."""


class TableRate(TypedDict):
    """A rate as its source prints it."""

    low: float
    high: float
    unit: str
    form: NotRequired[Form]
    note: NotRequired[str]


SoilReading = TypedDict(
    "SoilReading",
    {
        "nutrient": str,
        "extractant": str | None,
        "given": str,
        "ppm": float | None,
        "in_table_unit": float | None,
        "class": str | None,
        "meaning": Meaning | None,
        "from": float | None,
        "to": float | None,
        "possible": list[str],
        "by_policy": list[tuple[str, str | None]],
        "rate": TableRate | None,
        "note": str | None,
    },
)
"""The class of one value by one table, with its edges in the table's unit."""


class SoilValue(TypedDict):
    """A measured nutrient: ppm of the element as a number, "<1", ">500" or "ND", and what the sheet has."""

    nutrient: str
    extractant: str
    ppm: float | str
    given: dict[str, Any]


class Disagreement(TypedDict):
    """Tables that part ways over one nutrient: pairs of table and meaning."""

    nutrient: str
    meanings: list[tuple[str, Meaning]]


class Reason(TypedDict):
    """One reason against a sample."""

    key: str
    status: Status
    words: str
    source: str


class ExchangeBase(TypedDict):
    """One base on the exchange."""

    nutrient: str
    meq: float
    share_pct: float


class TableRow(TypedDict):
    """A table of an index."""

    key: str
    title: str | None
    source: str
    from_memory: bool


class PhRange(TypedDict):
    """One source's pH range of some species."""

    species: list[str]
    low: float
    high: float
    aim_new: NotRequired[float]
    aim_established: NotRequired[float]
    fails_above: NotRequired[float]
    note: NotRequired[str]


class PhTarget(TypedDict):
    """What one source wants for a species."""

    species: str
    table: str
    source: str
    general: bool
    row: PhRange


class LimeApplication(TypedDict):
    """One spreading of lime; the year counts from now."""

    year: int
    when: str
    rate_kg_ha: float


class OtherRate(TypedDict):
    """Another source's rate."""

    source: str
    rate_kg_ha: float


class Feeding(TypedDict):
    """One feeding of a season; `share` of the year's amount."""

    share: float
    when: str
    date: str | None
    why: str
    source: str


class BlendAmount(TypedDict):
    """How much of one product; weights in kg."""

    product: str
    kg: float
    from_stock_kg: float
    bought_kg: float
    bags: int | None
    left_kg: float
    cost: float


class BlendSupply(TypedDict):
    """How much of one nutrient a mix brings, kg."""

    nutrient: str
    kg: float
    at_least_kg: float | None
    at_most_kg: float | None


class LimitPrice(TypedDict):
    """What a limit of a mix costs for each kg: how the cost falls as it is lowered, and rises as it is raised."""

    limit: dict[str, str]
    low_per_kg: float | None
    high_per_kg: float | None


class TiedRange(TypedDict):
    """Amounts of a product that cost the same, kg."""

    product: str
    low_kg: float
    high_kg: float | None


class Clashing(TypedDict):
    """One limit of a conflict: what was asked and the nearest that can be met, kg."""

    limit: dict[str, str]
    kg: float
    reach_kg: float | None


class BlockNeed(TypedDict):
    """What a mix must and may bring of a nutrient, kg."""

    nutrient: str
    at_least_kg: float
    at_most_kg: NotRequired[float]


class BlockMix(TypedDict):
    """The needs of a year as products: `rounds` has what each tree gets and when, `blend` what `Blend.to_dict` has."""

    area_ha: float
    of_block: bool
    needs: list[BlockNeed]
    blend: dict[str, Any] | None
    conflicts: list[dict[str, Any]]
    rounds: list[dict[str, Any]]


class LevelScoops(TypedDict):
    """A level scoop for a tree."""

    scoops: float
    gives_g: float
    off_pct: float


class NeedleRange(TypedDict):
    """One range of a needle table, percent of dry weight or of the nitrogen."""

    nutrient: str
    low: float
    high: NotRequired[float]
    of_nitrogen: bool


class NeedleLine(TypedDict):
    """One element of a needle test against a table's range."""

    range: NeedleRange
    value: float | None
    standing: Standing | None


class PaleCause(TypedDict):
    """One cause of pale trees, with what speaks for and against it."""

    id: str
    name: str
    points: float
    cured_by_fertilizer: bool
    speaks_for: list[str]
    speaks_against: list[str]
    test: str
    remedy: str
    source: str
