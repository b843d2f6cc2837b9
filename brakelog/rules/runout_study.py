"""What the runout readings of one corner say about hub and rotor, and what may be done about it.

Nothing here decides whether a part may stay; the verdict does that.
"""

from __future__ import annotations

import enum
import math
from dataclasses import dataclass
from fractions import Fraction

from brakelog.metrology.cures import Step, cures
from brakelog.metrology.indexing import Prediction
from brakelog.metrology.judder import Tyre
from brakelog.metrology.plates import Face, PlateChoice
from brakelog.metrology.profile import OrderFound, OrderVector
from brakelog.metrology.runout import Gate, indicator_reading_nm
from brakelog.metrology.shares import Mark, Split
from brakelog.metrology.uncertainty import Spread
from brakelog.record.corner import Corner
from brakelog.record.reading import ReadingSet
from brakelog.rules.bound import Bound, BoundFigure
from brakelog.rules.casefile import CaseFile
from brakelog.rules.compare import is_out
from brakelog.rules.waves import ThicknessWaves


class NoSplit(enum.Enum):
    """Why the shares of hub and rotor cannot be told."""

    NO_READING = "no runout was read"
    NO_PROFILE = "only total readings, without angles"
    NOT_USABLE = "no profile that may be used"
    ONE_MOUNTING = "the rotor was read at one position only"
    STUDS_DIFFER = "the readings name different numbers of studs"
    OTHER_STUDS = "the limit sheet has another number of studs than the readings"


class Expected(enum.Enum):
    """How a predicted runout stands to its limit."""

    INSIDE = "inside the limit"
    UNSURE = "too close to the limit to be told"
    BEYOND = "beyond the limit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What was asked beside the record."""

    mark: Mark = Mark.HUB
    plates_nm: tuple[int, ...] = ()
    """Tapers to try, as total indicator reading where the indicator stands. [nm]"""
    face: Face = Face.OUTER
    """The face of the rotor that the indicator read."""
    indicator_radius_nm: int | None = None
    """Radius from the middle of the wheel at which the rotor is read. [nm]"""
    tyre: Tyre | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunoutRead:
    """One runout as read: a total, or a profile with its once-per-turn wave."""

    reading: ReadingSet
    spread: Spread
    gates: tuple[Gate, ...]
    """Why it may not be used; empty if it may."""
    index: int = 0
    """Studs that the rotor was turned from its first mark."""
    wave: OrderVector | None = None
    higher: tuple[OrderFound, ...] = ()
    """Waves of more than one per turn that stand out of the noise."""

    @property
    def is_profile(self) -> bool:
        """Whether it was read round the turn, and not as a total."""
        return len(self.reading.values_nm) > 1

    @property
    def index_is_assumed(self) -> bool:
        """Whether nobody said where the rotor stood."""
        return self.is_profile and self.reading.rotor_index is None

    @property
    def tir_nm(self) -> int:
        """The total, or highest minus lowest. [nm]"""
        return indicator_reading_nm(self.reading.measured_nm)

    @property
    def runout_nm(self) -> int:
        """What meets the limit: as read, or the wave through it where that is larger. [nm]"""
        wave_nm = 0 if self.wave is None else math.ceil(self.wave.peak_to_peak_nm)
        return max(self.tir_nm, wave_nm)


@dataclass(frozen=True, slots=True, kw_only=True)
class HubFace:
    """The runout of the hub face, and what the rule of the lever makes of it."""

    read: RunoutRead
    radius_nm: int
    at_rotor_nm: tuple[Fraction, Fraction]
    """Least and most where the rotor is read; both the same where its radius was given. [nm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunoutStudy:
    """Everything that can be said of the runout of one corner."""

    file: CaseFile
    corner: Corner
    ask: Ask
    bound: Bound
    read: tuple[RunoutRead, ...]
    """Every runout of the visit and stage, in the order taken."""
    used: tuple[RunoutRead, ...]
    """The profiles that the split rests on, by index."""
    studs: int | None
    no_split: NoSplit | None
    split: Split | None = None
    prediction: Prediction | None = None
    choices: tuple[PlateChoice, ...] = ()
    """Ways to mount the rotor with and without plates, least runout first."""
    hub_face: HubFace | None = None
    thickness: ThicknessWaves | None = None
    after: tuple[RunoutRead, ...] = ()
    """What was read as left, where the split rests on what was found."""
    changed_since: bool = False
    """Whether the rotor was changed after these readings."""

    @property
    def present(self) -> RunoutRead | None:
        """The newest runout that may be used, else the newest."""
        good = [each for each in self.read if not each.gates] or list(self.read)
        return good[-1] if good else None

    @property
    def advises(self) -> bool:
        """Whether the split is good enough for advice."""
        return self.split is not None and not self.split.doubts

    @property
    def is_matched(self) -> bool | None:
        """Whether the maker mounts rotor and hub as a matched pair; None where nobody said."""
        said = self.file.traits.get((self.corner.axle, "rotor-matched"))
        return None if said is None else said == "yes"

    @property
    def higher_nm(self) -> float:
        """The most that any mounting showed of more than one wave per turn, peak to peak. [nm]"""
        sums = [sum(found.wave.peak_to_peak_nm for found in each.higher) for each in self.used]
        return max(sums, default=0.0)

    @property
    def deciding(self) -> BoundFigure | None:
        """The limit figure that the runout meets first; None without a usable limit."""
        return self.bound.strictest

    @property
    def is_out(self) -> bool:
        """Whether the present runout is beyond its limit, as read or by its wave."""
        return self.present is not None and self._meets(self.present.runout_nm)

    @property
    def steps(self) -> tuple[Step, ...]:
        """The cures in order; none where nothing is out, or nothing was read that may be used."""
        figure = self.deciding
        if self.present is None or self.present.gates or figure is None or not self.is_out:
            return ()
        return cures(self.present.runout_nm - figure.nm)

    def expected(self, tir_nm: float, u1_nm: float) -> Expected | None:
        """Return how a predicted runout stands to the limit; None without one.

        It counts as inside only with twice its standard uncertainty to spare, and with what is
        not once per turn added in full.
        """
        if self.deciding is None:
            return None
        if self._meets(math.floor(tir_nm)):
            return Expected.BEYOND
        if self._meets(math.ceil(tir_nm + 2.0 * u1_nm + self.higher_nm)):
            return Expected.UNSURE
        return Expected.INSIDE

    def _meets(self, nm: int) -> bool:
        return any(is_out(nm, each.limit.comparator, each.nm) for each in self.bound.figures)
