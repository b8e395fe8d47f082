"""The tide logger: its parts, where they stand and what joins them.

Coordinates are mm from the board's upper left corner. Lists of pins along a side are kept in the order in which the
tracks leave it, so that two lists that are joined pin by pin give tracks that do not cross.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from maker import outlines as o
from maker.parts import Part

WIDTH, HEIGHT, CORNER = 80.0, 60.0, 3.0
SLOT = (72.3, 17.6, 28.4, 1.6)
"""The milled slot beside the pressure sensor: x, its two ends in y, its width."""

WORDS = (
    ("TIDE LOGGER", 57.5, 2.0, "F.SilkS", 1.4),
    ("harbour shed  rev B", 57.5, 4.2, "F.SilkS", 0.9),
    ("TAKE CELL OUT FIRST", 24.8, 46.6, "F.SilkS", 0.8),
    ("TIDE LOGGER  rev B", 20.0, 56.5, "B.SilkS", 1.4),
)
"""Printed words: text, middle, layer, height."""

PLANES = ("GND", "3V3")
POWER = ("VIN", "VRAW", "SW")
"""Nets on planes, and nets that get wide tracks."""

SIGNAL_PLACES = (1, 2, 3, 4, *range(9, 17), *range(21, 29), *range(33, 37))
"""Places along a side of U1 that carry signals; 6, 18, 30 are ground, 7, 19, 31 supply, the rest is unconnected."""

U1_X, U1_Y = 38.05, 29.05

Nets = dict[str, dict[str, str]]


def side_pins(side: int) -> list[str]:
    """Return U1's signal pins of one side (0 left, 1 lower, 2 right, 3 upper), counter-clockwise."""
    return [str(36 * side + place) for place in SIGNAL_PLACES]


def bus(nets: Nets, names: Iterable[str], *ends: tuple[str, Sequence[str]]) -> None:
    """Join the ends pin by pin: the first pin of each end takes the first name, and so on."""
    for k, name in enumerate(names):
        for ref, pins in ends:
            nets.setdefault(ref, {})[pins[k]] = name


def numbered(prefix: str, count: int) -> list[str]:
    """Return that many net names with a common prefix."""
    return [f"{prefix}{k}" for k in range(count)]


def memory_exits() -> list[str]:
    """Return U3's balls in the order in which tracks leave towards U1: upper edge, two columns, lower edge."""
    columns = ["A1", "B1"]
    for row, below in zip("BCDEFGHJK", "CDEFGHJKL", strict=True):
        columns += [f"{row}2", f"{below}1"]
    return ["A3", "A2", *columns, "L2", "L3"]


def controller_buses(nets: Nets) -> None:
    """Join U1 to the display, the memory, the harmonic store and the radio."""
    left, lower, right, upper = (side_pins(k) for k in range(4))
    to_memory = upper[:10][::-1] + right[::-1][:14]
    balls = memory_exits()
    bus(nets, numbered("DISP_", 12), ("U1", upper[::-1][:12]), ("J2", [str(k) for k in range(3, 15)]))
    direct = [(pin, ball) for k, (pin, ball) in enumerate(zip(to_memory, balls, strict=True)) if not 10 <= k < 14]
    bus(nets, numbered("MEM_", 20), ("U1", [pin for pin, _ in direct]), ("U3", [ball for _, ball in direct]))
    for k in range(4):
        nets["U1"][to_memory[10 + k]] = f"MEM_CLK{k}_R"
        nets["U3"][balls[10 + k]] = f"MEM_CLK{k}"
    store = ["6", "7", "8", "9", "10", "11", "13", "14"], ["15", "16", "17", "18", "19", "20", "21", "22", "24"]
    bus(nets, numbered("ROM_", 8), ("U1", right[::-1][16:]), ("U2", store[0]))
    bus(nets, numbered("ROM_", 17)[8:], ("U1", lower[::-1][:9]), ("U2", store[1]))
    bus(nets, ["SDA", "SCL"], ("U1", right[::-1][14:16]), ("U7", ["3", "2"]))
    radio = ["RF_BUSY", "RF_IRQ", "RF_RST", "SCK", "MOSI", "MISO", "RF_CS", "RF_TXEN"]
    bus(nets, radio, ("U1", left[:8]), ("U4", [str(k) for k in range(24, 16, -1)]))


def controller_rest(nets: Nets) -> None:
    """Join U1 to the gauge's amplifier, the log memory below, the debug header, USB and the small things."""
    left, lower = side_pins(0), side_pins(1)
    bus(nets, ["GAUGE_REF", "GAUGE_OUT"], ("U1", left[8:10]), ("U5", ["5", "6"]))
    bus(nets, ["FRAM_CS", "FRAM_WP"], ("U1", left[10:12]), ("U8", ["1", "3"]))
    bus(nets, ["MISO", "MOSI", "SCK"], ("U8", ["2", "5", "6"]))
    bus(nets, ["VIN_SENSE"], ("U1", left[14:15]))
    bus(nets, ["BUCK_EN"], ("U1", left[15:16]), ("U6", ["3"]))
    bus(nets, ["PROBE_A"], ("U1", left[16:17]), ("TP1", ["1"]))
    bus(nets, ["PROBE_B"], ("U1", left[17:18]), ("TP2", ["1"]))
    bus(nets, ["VBAT"], ("U1", lower[:1]), ("BT1", ["1"]))
    bus(nets, ["XTAL_IN", "XTAL_OUT"], ("U1", [lower[3], lower[4]]), ("Y1", ["1", "3"]))
    debug = ["SWDIO", "SWCLK", "SWO", "BOOT", "NRST"]
    bus(nets, debug, ("U1", lower[6:11]), ("J3", ["2", "4", "6", "8", "10"]))
    bus(nets, ["BUTTON", "LED", "USB_M", "USB_P"], ("U1", lower[11:15]))


def edge_nets(nets: Nets) -> None:
    """Join what stands at the board's edges: gauge terminals, supply, aerial, USB, display, button."""
    nets["J1"] = {"2": "USB_M_C", "3": "USB_P_C", "5": "GND", "6": "GND"}
    nets["J2"] |= {"1": "GND", "2": "3V3", "15": "3V3", "16": "GND", "MP": "GND"}
    nets["J3"] |= {"1": "3V3", "3": "GND", "5": "GND", "9": "GND"}
    nets["J4"] = {"1": "VRAW", "2": "GND", "3": "VIN", "4": "GAUGE_IN"}
    nets["J5"] = {"1": "RF_OUT", "2": "GND"}
    nets["BT1"] |= {"2": "GND"}
    nets["Q1"] = {"1": "Q_GATE", "2": "VIN", "3": "VRAW"}
    nets["SW1"] = {"1": "BUTTON", "2": "GND"}
    nets["D1"] = {"1": "GND", "2": "LED_A"}
    nets["L1"] = {"1": "SW", "2": "3V3"}
    nets["L2"] = {"1": "3V3", "2": "3V3_RF"}


def device_supplies(nets: Nets) -> None:
    """Give every integrated circuit its supply and ground."""
    for side in range(4):
        for place in (6, 18, 30):
            nets["U1"] |= {str(36 * side + place): "GND", str(36 * side + place + 1): "3V3"}
    nets["U2"] |= {"1": "GND", "23": "GND", "34": "GND", "12": "3V3", "35": "3V3", "44": "3V3"}
    for row in range(2, 9):
        for column in range(2, 9):
            corner = abs(row - 5) >= 2 and abs(column - 5) >= 2
            nets["U3"][f"{o.BALL_ROWS[row]}{column + 1}"] = "3V3" if corner else "GND"
    nets["U4"] |= {"33": "GND", "9": "3V3_RF", "16": "3V3_RF", "32": "3V3_RF", "5": "RF_PA"}
    nets["U5"] |= {"3": "GAUGE_IN", "2": "GND", "4": "GND", "7": "3V3"}
    nets["U6"] |= {"1": "VIN", "2": "GND", "4": "3V3", "5": "SW"}
    nets["U7"] |= {"1": "GND", "4": "3V3", "5": "3V3", "6": "GND", "8": "GND"}
    nets["U8"] |= {"4": "GND", "7": "3V3", "8": "3V3"}
    bus(nets, ["RF_XA", "RF_XB"], ("U4", ["2", "1"]), ("Y2", ["1", "3"]))
    for ref in ("Y1", "Y2"):
        nets[ref] |= {"2": "GND", "4": "GND"}


def net_list() -> Nets:
    """Return the nets of all parts that are not plain two-terminal parts."""
    nets: Nets = {}
    controller_buses(nets)
    controller_rest(nets)
    edge_nets(nets)
    device_supplies(nets)
    return nets


def two(one: str, other: str) -> dict[str, str]:
    """Return the nets of a part with two terminals."""
    return {"1": one, "2": other}


EXPOSED = frozenset({"33"})
SUPPLY = two("3V3", "GND")


def main_parts(nets: Nets) -> tuple[Part, ...]:
    """Return the integrated circuits and the crystal."""
    return (
        Part("U1", "logger controller", o.quad_flat(), U1_X, U1_Y, nets=nets["U1"], relief=False),
        Part(
            "U2",
            "harmonic store",
            o.j_lead_carrier(),
            63.0,
            42.5,
            nets=nets["U2"],
            solid=frozenset({"1", "23"}),
            fields={"Height": "4.57 mm"},
        ),
        Part("U3", "sample memory", o.ball_grid(), 63.2, 16.4, nets=nets["U3"], relief=False),
        Part("U4", "sub-GHz radio", o.quad_no_lead(), 16.05, 11.05, nets=nets["U4"], solid=EXPOSED, relief=False),
        Part("U5", "gauge amplifier", o.small_outline(), 19.0, 22.0, nets=nets["U5"]),
        Part("U6", "buck 3V3", o.sot_23_5(), 9.2, 45.6, nets=nets["U6"]),
        Part("U7", "barometer", o.pressure_sensor(), 75.8, 23.0, nets=nets["U7"], fields={"Height": "1.1 mm"}),
        Part("U8", "event memory", o.small_outline(), 42.0, 32.6, 90, "bottom", nets["U8"]),
        Part("Q1", "reverse guard", o.sot_23(), 11.2, 22.6, 90, nets=nets["Q1"]),
        Part("Y1", "16 MHz", o.crystal(), 31.2, 43.0, nets=nets["Y1"]),
        Part("Y2", "32 MHz", o.crystal(), 10.8, 6.6, nets=nets["Y2"]),
        Part("D1", "red", o.chip("LED", "0603"), 76.6, 45.0, 90, nets=nets["D1"]),
    )


def large_parts(nets: Nets) -> tuple[Part, ...]:
    """Return connectors, coils, large capacitors, the cell, hardware."""
    return (
        Part("J1", "USB", o.micro_usb(), 46.5, 56.6, nets=nets["J1"], solid=frozenset({"6"})),
        Part("J2", "display", o.flat_flex(), 35.0, 4.0, nets=nets["J2"]),
        Part("J3", "debug", o.header_fine(), 39.0, 45.6, nets=nets["J3"], fields={"Height": "5.1 mm"}),
        Part("J4", "supply and gauge", o.terminal_block(), 5.2, 33.2, nets=nets["J4"]),
        Part("J5", "aerial", o.coaxial(), 5.0, 12.0, 180, nets=nets["J5"]),
        Part(
            "BT1",
            "CR1220 holder, cell fitted",
            o.coin_cell_holder(),
            24.7,
            52.4,
            nets=nets["BT1"],
            fields={"Cell": "CR1220 fitted; take it out before any heat", "Height": "4.0 mm"},
        ),
        Part("SW1", "wake", o.push_button(), 58.2, 55.8, nets=nets["SW1"]),
        Part("L1", "4u7", o.inductor(4.0, 2.1), 9.2, 51.2, 90, nets=nets["L1"], solid=frozenset({"2"})),
        Part("L2", "22u", o.inductor(8.0, 4.0), 36.6, 24.6, 0, "bottom", nets["L2"], {"Height": "4.0 mm"}),
        Part("C20", "100u 6V3", o.tantalum(), 45.6, 14.2, nets=SUPPLY),
        Part("C21", "47u", o.chip("C", "1210"), 31.2, 14.6, nets=SUPPLY, solid=frozenset({"2"})),
        Part("C41", "47u", o.chip("C", "1210"), 72.0, 11.6, 90, nets=SUPPLY),
        Part(
            "C22",
            "220u 25V",
            o.aluminium_can(),
            19.9,
            32.4,
            90,
            nets=two("VIN", "GND"),
            solid=frozenset({"2"}),
            fields={"Height": "10.3 mm"},
        ),
        Part("TP1", "probe A", o.test_point(), 22.2, 39.6, nets=nets["TP1"]),
        Part("TP2", "probe B", o.test_point(), 25.6, 39.6, nets=nets["TP2"]),
        *(Part(f"FID{k + 1}", "fiducial", o.fiducial(), x, y) for k, (x, y) in enumerate(((10.0, 3.2), (70.0, 56.8)))),
        *(
            Part(f"H{k + 1}", "M2.5", o.mounting_hole(), x, y)
            for k, (x, y) in enumerate(((4.0, 4.0), (76.0, 4.0), (76.0, 56.0), (4.0, 56.0)))
        ),
    )


def controller_capacitors() -> tuple[Part, ...]:
    """Return U1's decoupling: a chip on top at most supply pins, one below where the crystal needs the room."""
    parts = []
    reach = 12.1
    places = [(side, along) for side in range(4) for along in (-6.0, 0.0, 6.0)]
    for k, (side, along) in enumerate(places):
        x, y = ((-reach, along), (along, reach), (reach, -along), (-along, -reach))[side]
        below = (side, along) == (1, -6.0)
        shrink = 7.2 / reach if below else 1.0
        rotation = (90, 180, 270, 0)[side]
        where = (U1_X + x, U1_Y + y * shrink, 0 if below else rotation)
        parts.append(Part(f"C{k + 1}", "100n", o.chip("C", "0402"), *where, "bottom" if below else "top", SUPPLY))
    return tuple(parts)


def small(
    ref: str, value: str, code: str, x: float, y: float, rotation: float, nets: dict[str, str], below: bool = False
) -> Part:
    """Return a chip resistor, capacitor or coil; the reference's letter says which."""
    return Part(ref, value, o.chip(ref[0], code), x, y, rotation, "bottom" if below else "top", nets)


def small_parts() -> tuple[Part, ...]:
    """Return the chips that stand on top."""
    return (
        *(
            small(f"R{k + 1}", "22R", "0402", 53.0, 19.5 + 1.3 * k, 180, two(f"MEM_CLK{k}", f"MEM_CLK{k}_R"))
            for k in range(4)
        ),
        small("C13", "100n", "0402", 51.3, 15.8, 45, SUPPLY),
        small("C14", "1u", "0603", 23.6, 25.2, 90, SUPPLY),
        small("C15", "10p", "0402", 28.3, 43.2, 270, two("XTAL_IN", "GND")),
        small("C16", "10p", "0402", 34.2, 42.9, 90, two("XTAL_OUT", "GND")),
        small("C17", "1u", "0603", 60.4, 24.3, 0, SUPPLY),
        small("C18", "1u", "0603", 66.0, 24.3, 180, SUPPLY),
        small("C19", "100n", "0402", 61.7, 32.7, 0, SUPPLY),
        small("C40", "100n", "0402", 53.3, 42.5, 90, SUPPLY),
        small("C23", "1u", "0402", 12.2, 15.6, 0, two("3V3_RF", "GND")),
        small("C24", "100n", "0402", 20.2, 15.4, 180, two("3V3_RF", "GND")),
        small("C25", "100n", "0402", 14.3, 6.9, 180, two("3V3_RF", "GND")),
        small("C26", "22u", "0603", 13.4, 51.0, 270, SUPPLY),
        small("C27", "100n", "0402", 26.4, 42.2, 90, two("VBAT", "GND")),
        small("C28", "2p2", "0402", 10.2, 10.4, 90, two("RF_PA", "GND")),
        small("C29", "10u", "0603", 5.6, 45.4, 270, two("VIN", "GND")),
        small("L3", "6n8", "0402", 8.4, 12.0, 180, two("RF_PA", "RF_OUT")),
        small("R14", "100k", "0603", 16.0, 40.0, 0, two("VIN", "VIN_SENSE")),
        small("R15", "10k", "0603", 16.0, 41.8, 180, two("VIN_SENSE", "GND")),
        small("R16", "330R", "0603", 76.6, 40.8, 270, two("LED", "LED_A")),
        small("R17", "120R", "0603", 11.2, 38.4, 0, two("GAUGE_IN", "GND")),
        small("R18", "100k", "0603", 8.4, 18.6, 0, two("GND", "Q_GATE")),
        small("R19", "22R", "0603", 45.2, 50.6, 90, two("USB_M_C", "USB_M")),
        small("R20", "22R", "0603", 47.0, 50.6, 90, two("USB_P_C", "USB_P")),
        small("R21", "10k", "0402", 72.6, 31.0, 90, two("3V3", "SDA")),
        small("R22", "10k", "0402", 71.4, 31.0, 90, two("3V3", "SCL")),
    )


def bottom_chips() -> tuple[Part, ...]:
    """Return the chips on the bottom: under the quad, under the ball grid and under the carrier."""
    below = True
    return (
        small("C30", "100n", "0402", 33.0, 33.0, 0, SUPPLY, below),
        small("C31", "100n", "0402", 45.2, 24.4, 90, SUPPLY, below),
        small("C32", "1u", "0603", 43.2, 24.4, 90, SUPPLY, below),
        small("C33", "1u", "0603", 37.2, 36.2, 0, SUPPLY, below),
        small("C34", "100n", "0402", 68.5, 14.0, 90, SUPPLY, below),
        small("C35", "100n", "0402", 68.5, 18.8, 90, SUPPLY, below),
        small("C36", "1u", "0603", 63.2, 10.8, 0, SUPPLY, below),
        small("C37", "1u", "0603", 63.2, 22.2, 0, SUPPLY, below),
        small("C38", "100n", "0603", 60.0, 42.5, 90, SUPPLY, below),
        small("C39", "100n", "0603", 66.0, 42.5, 90, SUPPLY, below),
        small("R10", "10k", "0603", 35.0, 29.8, 180, two("3V3", "FRAM_CS"), below),
        small("R11", "10k", "0603", 35.0, 31.6, 180, two("3V3", "FRAM_WP"), below),
        small("R12", "10k", "0603", 42.0, 39.0, 0, two("3V3", "BUTTON"), below),
    )


def strap() -> Part:
    """Return the boot strap, which is not fitted."""
    part = small("R9", "0R", "0603", 43.7, 43.2, 90, two("BOOT", "GND"))
    return Part(
        part.ref, part.value, part.footprint, part.x, part.y, part.rotation, "top", part.nets, {"dnp": "yes"}, False
    )


def tide_logger() -> tuple[Part, ...]:
    """Return every part of the tide logger, in its place and on its nets."""
    nets = net_list()
    return (
        *main_parts(nets),
        *large_parts(nets),
        *controller_capacitors(),
        *small_parts(),
        *bottom_chips(),
        strap(),
    )
