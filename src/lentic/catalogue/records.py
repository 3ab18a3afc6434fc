"""What the catalogue holds: one record a food, plant, animal, medium, lamp or conditioner."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import ClassVar

from lentic.catalogue.facts import Fact, combine
from lentic.catalogue.keys import UVI_AT
from lentic.science.energy import food_energy
from lentic.science.food import food_nitrogen

KJ_PER_KCAL = 4.184
"""The thermochemical calorie, exact by definition."""


@dataclass(frozen=True, kw_only=True)
class Record:
    """Anything the catalogue holds: names and facts; a missing one is unknown."""

    kind: ClassVar[str] = "record"
    id: str
    names: tuple[str, ...]
    synonyms: tuple[str, ...] = ()
    scientific: str = ""
    facts: Mapping[str, Fact] = field(repr=False)

    @property
    def name(self) -> str:
        """The name to show."""
        return self.names[0]

    def fact(self, key: str) -> Fact | None:
        """Look up one fact; None means unknown."""
        return self.facts.get(key)

    def words(self, key: str) -> str:
        """Give one fact as words, or an empty text where it is unknown."""
        fact = self.facts.get(key)
        return "" if fact is None else fact.text


@dataclass(frozen=True, kw_only=True)
class Food(Record):
    """A food as it is weighed out; every share is of the food as fed."""

    kind: ClassVar[str] = "food"

    def _share(self, key: str, factor: float) -> Fact | None:
        fact = self.facts.get(key)
        return None if fact is None else fact.scaled(factor, "g/g")

    @property
    def water(self) -> Fact | None:
        """Water in the food [g/g]."""
        return self._share("moisture_pct", 0.01)

    @property
    def protein(self) -> Fact | None:
        """Crude protein in the food [g/g]."""
        return self._share("protein_pct", 0.01)

    @property
    def fat(self) -> Fact | None:
        """Crude fat in the food [g/g]."""
        return self._share("fat_pct", 0.01)

    @property
    def ash(self) -> Fact | None:
        """Minerals left after burning the food [g/g]."""
        return self._share("ash_pct", 0.01)

    @property
    def phosphorus(self) -> Fact | None:
        """Phosphorus in the food [g P/g]."""
        return self._share("phosphorus_mg_100g", 1e-5)

    @property
    def calcium(self) -> Fact | None:
        """Calcium in the food [g Ca/g]."""
        return self._share("calcium_mg_100g", 1e-5)

    @property
    def energy(self) -> Fact | None:
        """Energy an animal can use [kcal/g]: as stated, else reckoned from the shares, else unknown."""
        stated = self._share("kcal_100g", 0.01)
        if stated is not None:
            return replace(stated, unit="kcal/g")
        parts = [part for part in (self.protein, self.fat, self.carbohydrate) if part is not None]
        if len(parts) < 3:
            return None
        return combine(
            lambda protein, fat, carbohydrate: float(food_energy(protein, fat, carbohydrate)) / KJ_PER_KCAL,
            *parts,
            unit="kcal/g",
            note="from protein, fat and carbohydrate by the general factors of nutrition",
        )

    @property
    def nitrogen(self) -> Fact | None:
        """Nitrogen in the food by the convention protein / 6.25 [g N/g]."""
        protein = self.protein
        return (
            None
            if protein is None
            else combine(lambda share: float(food_nitrogen(share)), protein, unit="g/g", note="protein / 6.25")
        )

    @property
    def carbohydrate(self) -> Fact | None:
        """Carbohydrate with fibre, the rest of the food [g/g]; unknown while any other share is unknown."""
        parts = (self.water, self.protein, self.fat, self.ash)
        known = [part for part in parts if part is not None]
        if len(known) < len(parts):
            return None
        # Shares that were measured separately can add up to a little over the whole; the rest is then none.
        return combine(
            lambda *shares: max(0.0, 1.0 - sum(shares)),
            *known,
            unit="g/g",
            note="the rest after water, protein, fat and ash",
        )


@dataclass(frozen=True, kw_only=True)
class PlantClass:
    """Growth of one class of plants, per gram of dry mass; `spread` says how far each number may be off.

    Rates are per day, tissue contents g per g of dry mass, half-saturations mg/L as the element, `ik`
    µmol/m²/s, `cap` g of dry mass per m² of water surface, `dry` g of dry per g of wet mass, `eps` and
    `sigma` m² per g, temperatures °C. Where `air_leaves` is true `k_c`, `beta` and `ph_max` are set so that
    the water never limits carbon. `scale` says whether a spread is of the logarithm ("ln") or not ("abs").
    """

    id: str
    names: tuple[str, ...]
    mu: float
    ik: float
    r20: float
    m0: float
    ms: float
    qn_min: float
    qn_max: float
    qp_min: float
    qp_max: float
    k_c: float
    beta: float
    ph_max: float
    cap: float
    dry: float
    v_n: float
    k_no3: float
    k_nh: float
    v_p: float
    k_p: float
    k_i: float
    t_min: float
    t_opt: float
    t_max: float
    eps: float
    sigma: float
    litter_labile: float
    air_leaves: bool
    spread: Mapping[str, float]
    scale: Mapping[str, str]
    facts: Mapping[str, Fact] = field(repr=False)


@dataclass(frozen=True, kw_only=True)
class Plant(Record):
    """A plant kind, with the class whose growth it follows."""

    kind: ClassVar[str] = "plant"
    plant_class: PlantClass

    @property
    def growth_class(self) -> str:
        """Id of the class whose growth this plant follows."""
        return self.plant_class.id

    @property
    def growth_factor(self) -> float:
        """How this plant grows beside its class; 1 where nothing is known."""
        fact = self.facts.get("growth_factor")
        return 1.0 if fact is None else fact.middle

    @property
    def dry_fraction(self) -> Fact:
        """Dry mass in the wet mass [g/g]; the number of the class where the plant's own is unknown."""
        own = self.facts.get("dry_fraction")
        if own is not None:
            return own
        return replace(self.plant_class.facts["dry"], note=f"proxy: the class {self.plant_class.id}")

    @property
    def uses_bicarbonate(self) -> bool | None:
        """Whether it takes carbon from bicarbonate; None is unknown."""
        fact = self.facts.get("uses_bicarbonate")
        return None if fact is None else bool(fact.value)

    @property
    def temperature(self) -> Fact | None:
        """Water temperature it does well in [°C]."""
        return self.facts.get("temp_C")


@dataclass(frozen=True, kw_only=True)
class Animal(Record):
    """A turtle, or an animal kept beside one; `sort` says which (turtle, fish, snail, shrimp and so on)."""

    kind: ClassVar[str] = "animal"

    @property
    def sort(self) -> str:
        """What sort of animal this is."""
        return self.words("kind") or "turtle"

    @property
    def adult_length(self) -> Fact | None:
        """Greatest shell length of a turtle, or adult length of another animal [cm]."""
        return self.facts.get("scl_max_cm") or self.facts.get("adult_cm")

    @property
    def water_temperature(self) -> Fact | None:
        """Water temperature for the adult [°C]."""
        return self.facts.get("water_adult_C") or self.facts.get("temp_C")


@dataclass(frozen=True, kw_only=True)
class Medium(Record):
    """A class of filter medium."""

    kind: ClassVar[str] = "medium"

    @property
    def specific_surface(self) -> Fact | None:
        """Outer surface a volume of the bed holds [m²/m³]; a first guess of room for the filter film."""
        return self.facts.get("specific_surface_m2_m3")

    @property
    def void_fraction(self) -> Fact | None:
        """Share of the bed that is water [1]."""
        return self.facts.get("void_fraction")


@dataclass(frozen=True, kw_only=True)
class Lamp(Record):
    """A class of lamp, or the sun."""

    kind: ClassVar[str] = "lamp"

    @property
    def photons_per_joule(self) -> Fact | None:
        """Photons plants can use from a joule of electricity [µmol/J]; unknown while either factor is."""
        lumens, lux = self.facts.get("lm_per_W"), self.facts.get("lux_per_ppfd")
        if lumens is None or lux is None:
            return None
        note = "lumens per watt / lux per PPFD"
        return combine(lambda lm, per: lm / per, lumens, lux, unit="µmol/J", note=note)

    @property
    def uvi_by_distance(self) -> tuple[tuple[float, Fact], ...]:
        """Pairs of distance [cm] and UV index, nearest first; empty where none is known."""
        found = ((UVI_AT.fullmatch(key), fact) for key, fact in self.facts.items())
        pairs = [(float(match[1]), fact) for match, fact in found if match]
        return tuple(sorted(pairs, key=lambda pair: pair[0]))


@dataclass(frozen=True, kw_only=True)
class Conditioner(Record):
    """A chemistry for making tap water fit; it says what it does to chlorine, chloramine and ammonia."""

    kind: ClassVar[str] = "conditioner"

    @property
    def dose(self) -> Fact | None:
        """Substance needed for chlorine [mg per mg Cl2]."""
        return self.facts.get("dose_mg_per_mg_Cl2")

    @property
    def binds_ammonia(self) -> bool | None:
        """Whether it binds ammonia; None is unknown or disputed."""
        fact = self.facts.get("ammonia_bound")
        return fact.value if fact is not None and isinstance(fact.value, bool) else None
