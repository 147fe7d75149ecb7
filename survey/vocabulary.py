"""The words an entry may use. Standard library only, so that every room can read them."""

from enum import StrEnum


class Source(StrEnum):
    """Where an entry comes from."""

    SEEN = "seen"
    MEASURED = "measured"
    OPERATOR = "operator"
    DRAWING = "drawing"
    DOCUMENT = "document"
    INFERRED = "inferred"
    UNKNOWN = "unknown"


class YesNoUnknown(StrEnum):
    """An answer that may be missing; unknown never counts as the safer one."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


class PositionSource(StrEnum):
    """How a position was taken, from the best to the roughest."""

    MEASURED = "measured"
    DRAWN = "drawn"
    TAPPED = "tapped"


class ContactRole(StrEnum):
    """What somebody is to the site, and so why they are called."""

    OPERATOR = "operator"
    KEY_HOLDER = "key holder"
    KNOWS_THE_STOCK = "knows the stock"
    GUARD = "guard"
    TENANT = "tenant"
    SEWER_OPERATOR = "sewer operator"
    TREATMENT_WORKS = "treatment works"
    WATER_AUTHORITY = "water authority"
    ENVIRONMENT_AGENCY = "environment agency"
    LOCAL_AUTHORITY = "local authority"
    OTHER = "other"


class Availability(StrEnum):
    """When somebody answers the telephone."""

    DAY = "day"
    NIGHT = "night"
    DAY_AND_NIGHT = "day and night"
    UNKNOWN = "unknown"


class AccessKind(StrEnum):
    """What a way in, or a thing met on the way in, is."""

    ENTRANCE = "entrance"
    GATE = "gate"
    KEY_BOX = "key box"
    ASSEMBLY_POINT = "assembly point"
    SECOND_APPROACH = "second approach"


class UtilityKind(StrEnum):
    """What can be shut off."""

    ELECTRICITY = "electricity"
    GAS = "gas"
    STEAM = "steam"
    COMPRESSED_AIR = "compressed air"
    WATER = "water"
    VENTILATION = "ventilation"


class WaterSupplyKind(StrEnum):
    """Where fire-fighting water comes from."""

    HYDRANT = "hydrant"
    TANK = "tank"
    OPEN_WATER = "open water"


class ProtectionKind(StrEnum):
    """Kind of fire protection system."""

    SPRINKLER = "sprinkler"
    FIRE_DEPARTMENT_CONNECTION = "fire department connection"
    FOAM = "foam"
    DETECTION = "detection"
    ALARM_PANEL = "alarm panel"
    SMOKE_VENT = "smoke vent"
    OTHER = "other"


class Finish(StrEnum):
    """Floor finish, as far as it decides how deep a spill rests."""

    SEALED = "sealed"
    BARE_CONCRETE = "bare concrete"
    JOINTED = "jointed or pitted"
    UNKNOWN = "unknown"


class Levelness(StrEnum):
    """What is known about the fall of a floor."""

    RECORDED_LEVEL = "recorded level"
    SURVEYED = "surveyed"
    UNKNOWN = "unknown"


class DoorKind(StrEnum):
    """Kind of door."""

    ROLLER = "roller door"
    PERSONNEL = "personnel door"
    FIRE = "fire door"
    OPENING = "opening"


class NormalPosition(StrEnum):
    """Of a door or a valve in ordinary work."""

    OPEN = "open"
    SHUT = "shut"
    UNKNOWN = "unknown"


class ValvePosition(StrEnum):
    """Normal position of a valve; only a proven one counts as shut."""

    NONE = "no valve"
    OPEN = "open"
    SHUT = "shut"
    SHUT_PROVEN = "shut and proven"
    UNKNOWN = "unknown"


class DrainKind(StrEnum):
    """Form of an opening that takes liquid away."""

    GULLY = "gully"
    TRENCH = "trench"
    INLET = "inlet"
    PIT = "pit"


class DrainDestination(StrEnum):
    """What a drain joins."""

    STORM = "storm"
    SANITARY = "sanitary"
    COMBINED = "combined"
    INTERCEPTOR = "interceptor"
    HOLDING_TANK = "holding tank"
    GROUND = "ground"
    UNKNOWN = "unknown"


class DrainProof(StrEnum):
    """What shows where a drain goes; anything but a test is unproven."""

    DYE_TEST = "dye test"
    CAMERA = "camera"
    DRAWING = "drawing"
    OPERATOR = "operator"
    NONE = "none"


class HeatSourceKind(StrEnum):
    """What gives off the heat."""

    UNIT_HEATER = "unit heater"
    STEAM_PIPE = "steam pipe"
    FLAME = "flame"
    MACHINE = "machine"
    CHARGER = "battery charger"
    SUN = "sun"
    OTHER = "other"


class StandKind(StrEnum):
    """What a group of drums stands on or in."""

    PALLET = "pallet"
    BLOCK = "block"
    CABINET = "cabinet"
    LOOSE = "loose"


class Sighting(StrEnum):
    """How much of the thing was seen, and why not more."""

    SEEN = "seen"
    REPORTED = "reported"
    INFERRED = "inferred"
    NOT_SEEN = "not seen"
    ACCESS_REFUSED = "access refused"


class LabelState(StrEnum):
    """What the label can tell."""

    LEGIBLE = "legible"
    PARTIAL = "partial"
    NONE = "none"
    PAINTED_OVER = "painted over"
    CONTRADICTS_CONTENT = "contradicts content"
    NOT_SEEN = "not seen"


class IdentitySource(StrEnum):
    """What says that a drum holds the product named; two that agree identify it."""

    LABEL = "label"
    DRUM_MARK = "drum mark"
    PAPERWORK = "paperwork"
    STOCK_LIST = "stock list"
    OPERATOR = "operator"
    FIELD_TEST = "field test"
    LABORATORY = "laboratory"


class Orientation(StrEnum):
    """How a drum stands or lies."""

    UPRIGHT = "upright"
    LYING = "lying"
    INVERTED = "inverted"
    UNKNOWN = "unknown"


class Closure(StrEnum):
    """How a drum is closed."""

    BUNGS = "bungs"
    VENTED_BUNG = "vented bung"
    RING_LID = "ring and lid"
    VALVE = "valve"
    MISSING = "missing"
    UNKNOWN = "unknown"


class BreachKind(StrEnum):
    """Form of a leak."""

    BUNG_WEEP = "bung weep"
    RING_OR_LID = "ring or lid"
    PINHOLE = "pinhole"
    PUNCTURE = "puncture"
    TEAR = "tear"
    CHIME_OR_SEAM = "chime or seam"
    BOTTOM_HEAD = "bottom head"
    PLASTIC_CRACK = "crack in plastic"
    CORRODED_AREA = "corroded area"
    VALVE = "valve"
    UNKNOWN = "unknown"


class BreachPlace(StrEnum):
    """Height of a leak on the drum."""

    TOP = "top"
    HIGH = "high"
    MIDDLE = "middle"
    LOW = "low"
    BOTTOM = "bottom"
    UNKNOWN = "unknown"


class ConditionSign(StrEnum):
    """What can be seen, heard or felt from where one stands."""

    BULGING = "bulging"
    DISHED_HEAD = "dished-in head"
    PINGING = "pinging"
    HISSING = "hissing"
    HOT = "hot"
    FROST = "frost"
    VENTING = "venting"
    VAPOUR = "vapour seen"
    ODOUR_REPORTED = "odour reported"
    LEAKING = "leaking"
    WET_RING = "wet ring or stain below"
    CRYSTALS_AT_CLOSURE = "crystals at closure"
    HEAVY_RUST = "heavy rust"
    PITTED = "pitted"
    CHIME_RUST = "rust at chime"
    CHIME_DENT = "dent at chime"
    WALL_DENT = "dent in wall"
    CHALKED_PLASTIC = "chalked plastic"
    LEANING_STACK = "leaning stack"
    CRUSHED_PALLET = "crushed pallet"
    MISSING_BUNG = "missing bung"
    OPEN_FUNNEL = "open funnel"
    PATCHED = "patched before"
    TYPE_MISMATCH = "drum type does not suit the product named"
    MARKS_DISAGREE = "marks on the drum disagree"
    FIRE_EXPOSED = "exposed to fire"


class Inclusion(StrEnum):
    """How a reading stands beside the other readings of its pallet."""

    ALTERNATIVE = "alternative"
    ADDITIONAL = "additional"
    SET_ASIDE = "set aside"


class KitKind(StrEnum):
    """Kind of response kit."""

    SALVAGE_DRUM = "salvage drum"
    ABSORBENT = "absorbent"
    DRAIN_COVER = "drain cover"
    PLUG = "plug"
    PATCH = "patch"
    TOOL = "tool"
    PUMP = "pump"
    PERSONAL = "personal protection"
    MONITOR = "monitor"
    OTHER = "other"


class KitPlace(StrEnum):
    """Where kit is carried or kept."""

    SITE = "site"
    FIRST_ENGINE = "first engine"
    TECHNICIANS = "technicians' unit"


class PackingGroup(StrEnum):
    """How dangerous goods are in transport within their class: I is the worst."""

    I = "I"  # noqa: E741 (the word of the transport rules)
    II = "II"
    III = "III"


class SheetBound(StrEnum):
    """Whether a number on a safety data sheet is the value itself or a limit to it."""

    EXACTLY = "exactly"
    AT_MOST = "at most"
    AT_LEAST = "at least"


class WalkOutcome(StrEnum):
    """How far a visit got."""

    COMPLETE = "complete"
    PARTIAL = "partial"
    STREET_SIDE_ONLY = "street-side only"
    ACCESS_REFUSED = "access refused"


class ChangeKind(StrEnum):
    """What a change did to its entry."""

    ADDED = "added"
    CHANGED = "changed"
    REMOVED = "removed"
