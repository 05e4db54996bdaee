"""What belongs together in an exercise: parts, places, metals, contents, walls and sizes.

Ranges as a workshop meets them: common practice, no source. They only make exercises believable;
no advice rests on them. Lengths in mm, pressures in bar, temperatures in degC, masses in kg.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from advisor.light_dataclass import dataclass

Span = tuple[float, float]
Words = tuple[str, ...]


@dataclass(frozen=True)
class Contents:
    """What a wall holds back, and how it lives with it.

    Attributes:
        fluid: as in the questionnaire.
        pressure: highest working gauge pressure; None where nothing is held.
        hot: highest temperature of the metal.
        cold: lowest temperature of the metal.
        behind: what lies behind the wall.
        cycling: how the temperature changes.
    """

    fluid: str
    pressure: Span | None
    hot: Span
    cold: Span
    behind: Words
    cycling: Words = ("none", "slow")


@dataclass(frozen=True)
class Place:
    """A place on a part where cracks are met.

    Attributes:
        at: the crack's location.
        wall: least wall.
        crack: length of the crack.
        holds: what the wall may hold back there.
        causes: what cracks it.
        loads: what acts on it.
        span: free span or inner diameter, where something is held.
        faces: machined faces that the crack may meet.
        radius: inner radius, where the wall is curved.
        bolted: threaded holes are near.
    """

    at: str
    wall: Span
    crack: Span
    holds: tuple[Contents, ...]
    causes: Words
    loads: Words
    span: Span = (80, 300)
    faces: Words = ("none",)
    radius: Span | None = None
    bolted: bool = False


@dataclass(frozen=True)
class Part:
    """A kind of part.

    Attributes:
        names: what a customer calls it.
        metals: what it is cast in, the usual one first.
        places: where it cracks.
        years: when it may have been cast.
        mass: how heavy it is.
        laws: sets of laws that may govern it.
        harm: what happens when it gives way.
        rim_speed: where it turns.
        hazards: hazards that are met on it.
    """

    names: Words
    metals: Words
    places: tuple[Place, ...]
    years: Span
    mass: Span
    laws: tuple[Words, ...] = (("none",),)
    harm: Words = ("nuisance", "loss_of_use", "injury")
    rim_speed: Span | None = None
    hazards: Words = ()


# --- contents -------------------------------------------------------------------------------------

DRY = Contents("none", None, (20, 60), (-20, 15), ("open", "solid_metal"))
DRY_WARM = Contents("none", None, (40, 150), (-10, 15), ("open", "solid_metal"), ("slow", "rapid"))
DRY_HOT = Contents("none", None, (250, 850), (-5, 15), ("open",), ("slow", "rapid"))
COOLANT = Contents("coolant", (0.3, 1.6), (80, 125), (-25, 10), ("coolant",), ("slow", "rapid"))
SEAT_COOLANT = Contents(
    "coolant", (0.3, 1.6), (110, 380), (-25, 10), ("coolant",), ("slow", "rapid")
)
COLD_WATER = Contents("water", (0.2, 16), (8, 60), (0, 8), ("coolant",))
HOT_WATER = Contents("water", (0.5, 6), (60, 130), (0, 15), ("coolant",))
SUMP_OIL = Contents("oil", (0, 0.4), (40, 110), (-15, 15), ("oil", "open"))
OIL_WAY = Contents("oil", (1, 8), (60, 120), (-15, 15), ("oil",))
HYDRAULIC = Contents("oil", (30, 260), (30, 75), (-10, 15), ("oil",))
AIR = Contents("air", (0.2, 14), (20, 160), (-10, 15), ("gas",))
FUEL_GAS = Contents("gas", (0.02, 6), (10, 50), (-10, 10), ("gas",))
HOT_GAS = Contents("gas", (0, 2.5), (250, 800), (-20, 15), ("gas",), ("slow", "rapid"))
STEAM = Contents("steam", (0.3, 16), (105, 350), (5, 20), ("gas",), ("slow", "rapid"))
COLD_GAS = Contents("refrigerant", (2, 22), (20, 110), (-35, 5), ("gas",))
FUEL = Contents("fuel", (0, 6), (10, 60), (-20, 10), ("open",))
ACID = Contents("corrosive", (0, 8), (10, 90), (0, 15), ("open",))
VACUUM = Contents("vacuum", (-0.95, -0.2), (15, 80), (0, 15), ("gas",))

# --- parts ----------------------------------------------------------------------------------------

_WORKED = ("fatigue", "overload", "casting_defect", "impact", "overheating")
_JACKET = ("freezing", "overheating", "corrosion", "casting_defect")
_BOLTED = ("over_tightening", "overload", "fatigue")
_STILL = ("none", "static")
_ALIVE = ("static", "cyclic", "shock")
_CAST_IRON = ("gray_iron", "ductile_iron", "compacted_graphite_iron")


def _bolt_hole(wall: Span, *holds: Contents, faces: Words = ("none", "gasket_face")) -> Place:
    return Place("bolt_hole", wall, (12, 70), holds, _BOLTED, _ALIVE, faces=faces, bolted=True)


def _boss(wall: Span, *holds: Contents, faces: Words = ("none",)) -> Place:
    return Place("boss", wall, (15, 120), holds, _BOLTED, _ALIVE, faces=faces, bolted=True)


def _rib(wall: Span, *holds: Contents) -> Place:
    return Place("rib", wall, (20, 200), holds, _WORKED, ("none", *_ALIVE))


def _wall_to_rib(wall: Span, *holds: Contents) -> Place:
    return Place("wall_to_rib", wall, (20, 220), holds, _WORKED, ("none", *_ALIVE))


def _corner(wall: Span, *holds: Contents) -> Place:
    return Place("corner", wall, (15, 150), holds, _WORKED, ("none", *_ALIVE), radius=(3, 25))


def _flange(wall: Span, *holds: Contents) -> Place:
    return Place(
        "flange", wall, (20, 160), holds, (*_BOLTED, "casting_defect"), ("none", *_ALIVE),
        faces=("none", "gasket_face"), bolted=True,
    )  # fmt: skip


def _curved(wall: Span, crack: Span, across: Span, *holds: Contents) -> Place:
    causes = (*_WORKED, "freezing", "corrosion")
    radius = (across[0] / 2, across[1] / 2)
    return Place("curved_wall", wall, crack, holds, causes, (*_STILL, "cyclic"), across,
                 radius=radius)  # fmt: skip


def _flat(wall: Span, crack: Span, across: Span, *holds: Contents) -> Place:
    causes = (*_WORKED, "freezing", "corrosion")
    return Place("flat_wall", wall, crack, holds, causes, ("none", *_ALIVE), across)


def _hub(wall: Span) -> Place:
    return Place("hub", wall, (20, 120), (DRY,), _WORKED, _ALIVE, faces=("none", "bearing_seat"))


def _saddle(wall: Span) -> Place:
    return Place(
        "bearing_saddle", wall, (15, 120), (SUMP_OIL, OIL_WAY), _WORKED, _ALIVE,
        faces=("bearing_seat",), radius=(15, 120), bolted=True,
    )  # fmt: skip


PARTS: Mapping[str, Part] = MappingProxyType(
    {
        "engine_block": Part(
            ("the block of a farm engine", "the block of a standby generator",
             "the block of an old lorry engine", "the block of a marine engine"),
            ("gray_iron", "compacted_graphite_iron", "aluminium_alloy"),
            (
                Place("water_jacket", (4, 10), (40, 420), (COOLANT,), _JACKET, _STILL, (80, 240)),
                Place("cylinder_bore", (6, 14), (25, 160), (COOLANT,),
                      ("freezing", "overheating", "casting_defect", "corrosion"),
                      ("static", "cyclic"), (75, 170), faces=("sealing_bore",), radius=(37, 85)),
                _flat((5, 14), (40, 320), (100, 300), SUMP_OIL, COOLANT),
                _saddle((14, 50)),
                _bolt_hole((10, 35), DRY_WARM, COOLANT, SUMP_OIL, OIL_WAY),
                _boss((10, 40), DRY_WARM, SUMP_OIL),
                _wall_to_rib((6, 15), SUMP_OIL, COOLANT),
            ),
            (1910, 2018), (60, 900), (("none",), ("none",), ("none",), ("marine_class",)),
            ("loss_of_use", "injury", "nuisance"), hazards=("lead_paint", "fuel_or_gas_residue"),
        ),
        "cylinder_head": Part(
            ("the cylinder head of a tractor", "the cylinder head of a compressor engine",
             "the cylinder head of an old car"),
            ("gray_iron", "aluminium_alloy", "compacted_graphite_iron"),
            (
                Place("valve_seat", (6, 16), (8, 45), (SEAT_COOLANT,),
                      ("overheating", "fatigue", "casting_defect"), ("static", "cyclic"), (25, 60),
                      faces=("none", "gasket_face")),
                Place("port", (5, 11), (15, 90), (SEAT_COOLANT, COOLANT),
                      ("overheating", "freezing", "fatigue", "corrosion"), _STILL, (25, 60),
                      radius=(12, 35)),
                Place("water_jacket", (4, 9), (20, 180), (COOLANT,), _JACKET, _STILL, (40, 140)),
                _bolt_hole((8, 25), COOLANT, DRY_WARM, OIL_WAY),
                _flange((8, 18), COOLANT, DRY_WARM),
            ),
            (1915, 2020), (12, 250), harm=("loss_of_use", "nuisance"),
        ),
        "manifold": Part(
            ("the exhaust manifold of a tractor", "the exhaust manifold of a stationary engine",
             "the inlet manifold of a petrol engine"),
            ("gray_iron", "ductile_iron", "austenitic_iron", "aluminium_alloy",
             "stainless_cast_steel"),
            (
                _curved((4, 10), (20, 180), (40, 110), HOT_GAS, COOLANT),
                _flange((8, 20), HOT_GAS, DRY_HOT),
                Place("port", (4, 9), (15, 90), (HOT_GAS,), ("overheating", "fatigue"),
                      (*_STILL, "cyclic"), (30, 70), radius=(15, 40)),
                _corner((4, 10), HOT_GAS, DRY_HOT),
                _bolt_hole((8, 20), HOT_GAS, DRY_HOT),
            ),
            (1920, 2020), (4, 60), harm=("nuisance", "loss_of_use"),
        ),
        "pump_housing": Part(
            ("the volute of a pump", "the casing of a transfer pump",
             "the housing of a fire pump", "the casing of a plunger pump"),
            ("gray_iron", "ductile_iron", "copper_alloy", "cast_steel", "stainless_cast_steel",
             "aluminium_alloy", "austenitic_iron"),
            (
                _curved((5, 30), (25, 260), (80, 500), COLD_WATER, HOT_WATER, ACID, FUEL,
                        HYDRAULIC),
                _flat((5, 25), (25, 220), (80, 300), COLD_WATER, HYDRAULIC, VACUUM),
                _flange((10, 30), COLD_WATER, HOT_WATER, ACID, FUEL),
                _boss((10, 35), COLD_WATER, HYDRAULIC, DRY),
                _bolt_hole((10, 30), COLD_WATER, HYDRAULIC, DRY),
                _wall_to_rib((6, 20), COLD_WATER),
                _corner((6, 20), COLD_WATER, HYDRAULIC),
            ),
            (1900, 2018), (10, 900),
            (("none",), ("none",), ("none",), ("food_or_potable",), ("marine_class",),
             ("pressure_equipment_law",)),
            hazards=("stored_pressure", "sealed_cavity", "high_pressure_oil", "fuel_or_gas_residue",
                     "lead_paint"),
        ),
        "compressor_housing": Part(
            ("the cylinder of a workshop compressor", "the crankcase of a refrigeration compressor",
             "the casing of a blower"),
            ("gray_iron", "ductile_iron", "aluminium_alloy", "cast_steel"),
            (
                _flat((6, 20), (20, 200), (60, 220), AIR, COLD_GAS, SUMP_OIL, COOLANT),
                _curved((6, 20), (20, 200), (60, 260), AIR, COLD_GAS, VACUUM),
                _flange((10, 25), AIR, COLD_GAS, FUEL_GAS),
                Place("cylinder_bore", (7, 16), (20, 140), (COOLANT, AIR),
                      ("freezing", "overheating", "casting_defect"), ("static", "cyclic"),
                      (60, 220), faces=("sealing_bore",), radius=(30, 110)),
                _bolt_hole((10, 28), AIR, DRY_WARM, COLD_GAS),
            ),
            (1910, 2018), (15, 700),
            (("none",), ("pressure_equipment_law",), ("none",)), ("loss_of_use", "injury"),
            hazards=("stored_pressure",),
        ),
        "turbine_housing": Part(
            ("the casing of a mill turbine", "the hot casing of a turbocharger",
             "the spiral casing of a small water turbine"),
            ("cast_steel", "ductile_iron", "gray_iron", "austenitic_iron"),
            (
                _curved((6, 45), (30, 400), (80, 900), STEAM, HOT_GAS, COLD_WATER),
                _flange((12, 60), STEAM, HOT_GAS, COLD_WATER),
                _boss((15, 60), STEAM, COLD_WATER),
            ),
            (1900, 2015), (15, 3000), (("none",), ("pressure_equipment_law",)),
            ("loss_of_use", "injury"), hazards=("asbestos_lagging", "stored_pressure"),
        ),
        "valve_body": Part(
            ("the body of a gate valve", "the body of a globe valve", "a stop valve's bonnet"),
            ("cast_steel", "gray_iron", "ductile_iron", "copper_alloy", "stainless_cast_steel",
             "malleable_iron", "austenitic_iron"),
            (
                _curved((5, 35), (10, 160), (25, 300), COLD_WATER, STEAM, FUEL_GAS, ACID,
                        HYDRAULIC),
                _flange((12, 45), COLD_WATER, STEAM, ACID, FUEL_GAS),
                Place("valve_seat", (8, 30), (8, 60), (COLD_WATER, STEAM),
                      ("fatigue", "casting_defect", "corrosion"), _STILL, (25, 200),
                      faces=("sealing_bore", "none")),
                _bolt_hole((12, 35), COLD_WATER, STEAM),
            ),
            (1900, 2018), (3, 180),
            (("none",), ("pressure_equipment_law",), ("none",), ("food_or_potable",),
             ("nuclear",), ("marine_class",)),
            hazards=("stored_pressure", "asbestos_lagging"),
        ),
        "pipe_fitting": Part(
            ("an elbow of an old heating main", "a tee of a water main", "a flanged bend"),
            ("malleable_iron", "gray_iron", "ductile_iron", "copper_alloy", "cast_steel"),
            (
                _curved((3, 22), (10, 400), (20, 600), COLD_WATER, HOT_WATER, FUEL_GAS, AIR, ACID),
                _flange((10, 30), COLD_WATER, HOT_WATER, FUEL_GAS),
                _bolt_hole((10, 30), COLD_WATER, HOT_WATER),
            ),
            (1880, 2015), (1, 400),
            (("none",), ("none",), ("food_or_potable",), ("pressure_equipment_law",)),
        ),
        "gearbox_housing": Part(
            ("the case of a conveyor gearbox", "the gear case of a crane travel drive",
             "the housing of a lathe's headstock gears"),
            ("gray_iron", "aluminium_alloy", "ductile_iron", "cast_steel", "magnesium_alloy"),
            (
                _flat((3, 22), (25, 320), (120, 600), SUMP_OIL),
                _boss((10, 50), SUMP_OIL, DRY, faces=("none", "bearing_seat")),
                _bolt_hole((10, 45), SUMP_OIL, DRY),
                _wall_to_rib((5, 18), SUMP_OIL, DRY),
                _rib((6, 20), DRY),
                _corner((5, 20), SUMP_OIL, DRY),
                _flange((8, 25), SUMP_OIL),
                _saddle((10, 40)),
            ),
            (1910, 2018), (15, 1500), (("none",), ("none",), ("none",), ("marine_class",)),
            ("nuisance", "loss_of_use", "injury"), hazards=("lead_paint",),
        ),
        "bearing_housing": Part(
            ("a plummer block of a fan", "the pedestal bearing of a line shaft",
             "the bearing bracket of a motor"),
            ("gray_iron", "ductile_iron", "cast_steel", "aluminium_alloy"),
            (
                _saddle((10, 60)),
                _boss((10, 50), DRY, SUMP_OIL, faces=("none", "bearing_seat")),
                _rib((8, 25), DRY),
                _flange((10, 30), DRY),
                _bolt_hole((12, 45), DRY),
                _corner((8, 30), DRY),
            ),
            (1900, 2018), (5, 900), harm=("loss_of_use", "injury", "nuisance"),
        ),
        "machine_bed": Part(
            ("the bed of a lathe", "the column of a drilling machine",
             "the table of a planing machine", "the base of a milling machine"),
            ("gray_iron", "ductile_iron"),
            (
                Place("flat_wall", (10, 60), (40, 600), (DRY, SUMP_OIL), _WORKED,
                      ("none", *_ALIVE), (150, 800), faces=("none", "guideway")),
                _rib((10, 40), DRY),
                _wall_to_rib((10, 40), DRY),
                _corner((10, 50), DRY),
                _boss((15, 60), DRY),
                _bolt_hole((12, 60), DRY, faces=("none", "guideway")),
                _flange((12, 45), DRY),
            ),
            (1880, 2018), (100, 9000), harm=("nuisance", "loss_of_use"),
            hazards=("lead_paint",),
        ),
        "press_frame": Part(
            ("the frame of an eccentric press", "the crown of a forging press",
             "the frame of a plate shear"),
            ("gray_iron", "cast_steel", "ductile_iron"),
            (
                _flat((20, 120), (60, 700), (200, 900), DRY),
                _corner((20, 100), DRY),
                _rib((15, 70), DRY),
                _wall_to_rib((15, 70), DRY),
                _bolt_hole((20, 90), DRY),
                _boss((20, 90), DRY, HYDRAULIC),
            ),
            (1890, 2015), (400, 30000), harm=("injury", "loss_of_use"),
            hazards=("stored_pressure", "high_pressure_oil", "lead_paint"),
        ),
        "bracket": Part(
            ("a motor foot", "a cover plate", "the arm of a conveyor bracket", "a guard bracket"),
            ("gray_iron", "ductile_iron", "malleable_iron", "cast_steel", "aluminium_alloy",
             "zinc_alloy", "copper_alloy", "stainless_cast_steel"),
            (
                _rib((4, 30), DRY),
                _corner((4, 35), DRY),
                _boss((8, 45), DRY),
                _flange((6, 30), DRY),
                _flat((3, 30), (15, 250), (60, 300), DRY, SUMP_OIL),
                _bolt_hole((6, 40), DRY),
                _wall_to_rib((4, 30), DRY),
            ),
            (1890, 2020), (0.5, 200), (("none",), ("none",), ("none",), ("lifting_law",)),
        ),
        "gear": Part(
            ("a spur gear of a mixer drive", "a rack pinion", "a winch gear"),
            ("gray_iron", "ductile_iron", "cast_steel", "copper_alloy"),
            (
                Place("gear_tooth", (8, 40), (10, 80), (DRY, SUMP_OIL), _WORKED,
                      ("cyclic", "shock")),
                _hub((12, 60)),
                _rib((10, 40), DRY),
            ),
            (1890, 2015), (3, 1500), harm=("loss_of_use", "injury"), rim_speed=(0.5, 28),
        ),
        "flywheel": Part(
            ("the flywheel of a steam engine in a museum", "the flywheel of a stone crusher"),
            ("gray_iron", "ductile_iron", "cast_steel"),
            (_hub((20, 120)), _rib((15, 70), DRY), _bolt_hole((15, 60), DRY, faces=("none",))),
            (1870, 2010), (40, 8000), harm=("injury",), rim_speed=(6, 45),
        ),
        "pulley": Part(
            ("a flat-belt pulley", "the grooved wheel of a fan drive"),
            ("gray_iron", "cast_steel", "aluminium_alloy"),
            (_hub((10, 50)), _rib((8, 30), DRY), _bolt_hole((10, 40), DRY, faces=("none",))),
            (1880, 2015), (2, 600), harm=("injury", "loss_of_use"), rim_speed=(3, 38),
        ),
        "brake_part": Part(
            ("the brake drum of a trailer", "the brake disc of a hoist"),
            ("gray_iron", "ductile_iron", "cast_steel"),
            (
                _curved((8, 25), (15, 120), (200, 500), DRY_HOT, DRY_WARM),
                _hub((10, 40)),
                _bolt_hole((10, 30), DRY_WARM, faces=("none",)),
            ),
            (1930, 2018), (4, 120), (("vehicle_safety",), ("lifting_law",), ("none",)),
            ("injury",), rim_speed=(2, 25),
        ),
        "steering_part": Part(
            ("the steering knuckle of a lorry", "the axle arm of a trailer"),
            ("ductile_iron", "malleable_iron", "cast_steel", "aluminium_alloy"),
            (_boss((12, 50), DRY), _corner((10, 40), DRY), _bolt_hole((12, 40), DRY)),
            (1930, 2018), (2, 120), (("vehicle_safety",), ("none",)), ("injury",),
        ),
        "lifting_part": Part(
            ("the trunnion of a ladle", "a sheave of a hoist", "a lifting lug"),
            ("cast_steel", "ductile_iron", "gray_iron"),
            (_boss((15, 70), DRY), _corner((12, 60), DRY), _hub((15, 60)), _rib((12, 50), DRY)),
            (1900, 2018), (3, 2500), (("lifting_law",), ("none",)), ("injury",),
            hazards=("molten_metal_service",),
        ),
        "boiler_section": Part(
            ("a section of a school's heating boiler", "the end section of a hot-water boiler"),
            ("gray_iron",),
            (
                _curved((6, 14), (30, 300), (80, 260), HOT_WATER, STEAM),
                _flat((6, 14), (30, 250), (80, 260), HOT_WATER, STEAM),
                Place("water_jacket", (5, 12), (30, 250), (HOT_WATER,), _JACKET, _STILL, (60, 220)),
            ),
            (1900, 2010), (40, 500), (("boiler_law",), ("none",)), ("injury", "loss_of_use"),
            hazards=("stored_pressure", "asbestos_lagging"),
        ),
        "radiator": Part(
            ("a column radiator of a school hall", "the end section of a heating radiator"),
            ("gray_iron", "aluminium_alloy"),
            (
                _curved((3, 7), (10, 200), (30, 90), HOT_WATER),
                _flat((3, 7), (10, 200), (40, 120), HOT_WATER),
                _boss((8, 20), HOT_WATER),
            ),
            (1890, 2005), (5, 150), harm=("nuisance", "loss_of_use"), hazards=("lead_paint",),
        ),
        "stove_part": Part(
            ("the top plate of a kitchen range", "the fire pot of a tiled stove",
             "the door of a furnace"),
            ("gray_iron", "ductile_iron"),
            (
                _flat((4, 18), (30, 350), (100, 500), DRY_HOT, HOT_GAS),
                _corner((4, 16), DRY_HOT),
                _curved((4, 16), (30, 250), (100, 400), DRY_HOT, HOT_GAS),
                _rib((4, 16), DRY_HOT),
            ),
            (1860, 2010), (2, 200), harm=("nuisance", "loss_of_use", "injury"),
            hazards=("asbestos_lagging", "molten_metal_service"),
        ),
        "ornamental": Part(
            ("a panel of a balcony railing", "the shaft of a lamp post", "a garden bench's side"),
            ("gray_iron", "zinc_alloy", "copper_alloy", "aluminium_alloy", "ductile_iron"),
            (
                _flat((4, 20), (15, 300), (60, 400), DRY),
                _rib((5, 25), DRY),
                _boss((8, 30), DRY),
                _corner((4, 20), DRY),
            ),
            (1840, 2015), (2, 90), (("none",),), ("nuisance", "injury"), hazards=("lead_paint",),
        ),
        "propeller_part": Part(
            ("a blade of a tug's propeller", "the hub of a fishing boat's propeller"),
            ("copper_alloy", "stainless_cast_steel", "cast_steel"),
            (
                _hub((25, 90)),
                _curved((10, 60), (20, 250), (300, 1500), DRY),
            ),
            (1930, 2018), (30, 4000), (("marine_class",), ("none",)), ("loss_of_use", "injury"),
            rim_speed=(5, 35),
        ),
        "structural_part": Part(
            ("a column of a mill floor", "a bearing of a foot bridge",
             "a bracket of a platform roof"),
            ("gray_iron", "cast_steel", "ductile_iron"),
            (
                _flat((10, 50), (40, 500), (150, 600), DRY),
                _corner((10, 50), DRY),
                _flange((12, 45), DRY),
                _rib((10, 40), DRY),
                _bolt_hole((12, 45), DRY),
            ),
            (1830, 2010), (50, 4000), harm=("injury", "loss_of_use"), hazards=("lead_paint",),
        ),
        "other": Part(
            ("a machine part", "a casting off an old machine", "the housing of a machine",
             "a plate of a machine"),
            ("white_iron", "magnesium_alloy", "zinc_alloy", "aluminium_alloy", "gray_iron",
             "copper_alloy", "austenitic_iron", "stainless_cast_steel", "cast_steel",
             "malleable_iron"),
            (
                _flat((3, 70), (15, 300), (60, 500), DRY, DRY_WARM, SUMP_OIL, COLD_WATER, ACID),
                _rib((4, 40), DRY),
                _corner((4, 40), DRY),
                _boss((8, 45), DRY),
                _flange((8, 40), DRY, COLD_WATER),
            ),
            (1900, 2020), (1, 1500),
            (("none",), ("none",), ("none",), ("aviation",), ("nuclear",), ("lifting_law",),
             ("food_or_potable",)),
            rim_speed=(0, 40), hazards=("molten_metal_service", "sealed_cavity"),
        ),
    }
)  # fmt: skip

# --- metals ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Metal:
    """How a metal shows itself.

    Attributes:
        hardness: HBW.
        hottest: no casting of it works hotter, degC.
        parts: usual mass fractions in per cent.
    """

    hardness: Span
    hottest: float
    parts: Mapping[str, Span]


METALS: Mapping[str, Metal] = MappingProxyType(
    {
        "gray_iron": Metal((140, 270), 850, {
            "C": (3.0, 3.7), "Si": (1.4, 2.6), "Mn": (0.4, 1.0), "P": (0.04, 1.1),
            "S": (0.03, 0.15), "Cr": (0, 0.8), "Ni": (0, 0.6), "Mg": (0, 0)}),
        "ductile_iron": Metal((130, 300), 800, {
            "C": (3.3, 3.8), "Si": (1.9, 3.2), "Mn": (0.1, 0.6), "P": (0.01, 0.1),
            "S": (0.003, 0.02), "Cr": (0, 0.2), "Ni": (0, 1.0), "Mg": (0.03, 0.07)}),
        "compacted_graphite_iron": Metal((140, 255), 700, {
            "C": (3.4, 3.8), "Si": (1.9, 2.6), "Mn": (0.1, 0.5), "P": (0.01, 0.06),
            "S": (0.005, 0.02), "Cr": (0, 0.1), "Ni": (0, 0.5), "Mg": (0.01, 0.025)}),
        "malleable_iron": Metal((110, 290), 600, {
            "C": (2.2, 3.2), "Si": (0.7, 1.7), "Mn": (0.2, 0.6), "P": (0.02, 0.15),
            "S": (0.03, 0.25), "Cr": (0, 0.1), "Ni": (0, 0.1), "Mg": (0, 0)}),
        "white_iron": Metal((360, 700), 700, {
            "C": (2.4, 3.6), "Si": (0.4, 1.2), "Mn": (0.3, 1.2), "P": (0.02, 0.3),
            "S": (0.02, 0.15), "Cr": (0, 28), "Ni": (0, 5), "Mg": (0, 0)}),
        "austenitic_iron": Metal((120, 220), 800, {
            "C": (2.2, 3.0), "Si": (1.0, 3.0), "Mn": (0.5, 1.6), "P": (0.01, 0.15),
            "S": (0.01, 0.12), "Cr": (0, 3.5), "Ni": (12, 36), "Mg": (0, 0.08)}),
        "cast_steel": Metal((110, 320), 550, {
            "C": (0.12, 0.5), "Si": (0.2, 0.6), "Mn": (0.5, 1.5), "P": (0.01, 0.04),
            "S": (0.01, 0.04), "Cr": (0, 1.5), "Ni": (0, 1.0), "Mo": (0, 0.6), "V": (0, 0.1),
            "Cu": (0, 0.3)}),
        "stainless_cast_steel": Metal((130, 320), 850, {
            "C": (0.02, 0.25), "Si": (0.3, 1.5), "Mn": (0.4, 1.5), "P": (0.01, 0.04),
            "S": (0.005, 0.04), "Cr": (11.5, 21), "Ni": (0.3, 12), "Mo": (0, 3), "V": (0, 0),
            "Cu": (0, 0.5)}),
        "aluminium_alloy": Metal((45, 125), 320, {
            "Si": (0.3, 13), "Mg": (0, 1.0), "Cu": (0, 5)}),
        "copper_alloy": Metal((55, 210), 350, {}),
        "magnesium_alloy": Metal((45, 85), 180, {}),
        "zinc_alloy": Metal((40, 125), 120, {}),
    }
)  # fmt: skip

BENCH: Mapping[str, str] = MappingProxyType(
    {
        "magnet": "magnet",
        "chip_test": "chip",
        "ring_test": "ring",
        "file_test": "file",
        "spark_test": "spark",
        "fracture_face": "fracture",
    }
)
"""Tests on the bench, and the column of the table of metals that says which answers fit."""

LOOKS_ALIKE: Mapping[str, Words] = MappingProxyType(
    {
        "gray_iron": ("ductile_iron", "malleable_iron", "cast_steel", "white_iron",
                      "austenitic_iron", "compacted_graphite_iron"),
        "ductile_iron": ("gray_iron", "malleable_iron", "cast_steel", "compacted_graphite_iron"),
        "compacted_graphite_iron": ("gray_iron", "ductile_iron", "cast_steel"),
        "malleable_iron": ("gray_iron", "ductile_iron", "cast_steel", "white_iron"),
        "white_iron": ("gray_iron", "malleable_iron", "cast_steel", "ductile_iron"),
        "austenitic_iron": ("gray_iron", "ductile_iron", "stainless_cast_steel", "white_iron"),
        "cast_steel": ("ductile_iron", "malleable_iron", "gray_iron", "stainless_cast_steel",
                       "white_iron"),
        "stainless_cast_steel": ("cast_steel", "austenitic_iron", "aluminium_alloy", "gray_iron"),
        "aluminium_alloy": ("magnesium_alloy", "zinc_alloy", "stainless_cast_steel", "cast_steel",
                            "gray_iron"),
        "copper_alloy": ("gray_iron", "cast_steel", "aluminium_alloy", "stainless_cast_steel"),
        "magnesium_alloy": ("aluminium_alloy", "zinc_alloy", "gray_iron", "copper_alloy"),
        "zinc_alloy": ("aluminium_alloy", "magnesium_alloy", "gray_iron", "copper_alloy"),
    }
)  # fmt: skip
"""What a metal is taken for by mistake, read backwards: claimed, and what it may really be."""

WET = frozenset({"water", "coolant", "corrosive"})
FROZEN = frozenset({"water", "coolant"})

OLD_REPAIRS = ("welded_before", "brazed_before", "stitched_before", "resin_filled")

THREADS: tuple[tuple[str, float], ...] = (
    ("M8", 8), ("M10", 10), ("M12", 12), ("M16x2", 16), ("M20", 20), ("3/8-16 UNC", 9.5),
    ("1/2-13 UNC", 12.7), ("3/4-10 UNC", 19.1),
)  # fmt: skip
"""Threads of holes near cracks, with their diameters."""
