"""What the surface-mount footprints of KiCad's library are, by library folder and name: the truth of the tests.

The rows and their counts over the 5,376 footprints of Debian's kicad-footprints 6.0.11 were drawn up by hand from
the folders and the outlines' names, apart from the program's own tables. The first row that fits counts. Where an
outline's folder and name leave open how its leads are formed (switches, relays, sensors), every style that such
parts come in is true. J-leads are those of JEDEC MS-018 (PLCC), MO-065 (SOJ), TSOC, and switches and relays so named.
"""

import re
from dataclasses import dataclass

OPEN = frozenset({"gull-wing", "bottom-terminated"})


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of outline: how its folder and name look, and how its leads are formed."""

    kind: str
    library: str
    name: str
    styles: frozenset[str]


def _row(kind: str, library: str, name: str, styles: str | frozenset[str]) -> Row:
    return Row(kind, library, name, frozenset({styles}) if isinstance(styles, str) else styles)


ROWS = (
    _row("wire pad", "^Connector_Wire", "SolderWirePad", "hardware"),
    _row("connector", "^Connector|^TerminalBlock|^Battery", "", "connector"),
    _row("hardware stand-off", "^Mounting", "", "hardware"),
    _row("fiducial or test point", "^Fiducial|^TestPoint", "", "hardware"),
    _row("shield can", "^RF_Shielding", "", "hardware"),
    _row("heat sink", "^Heatsink", "", "hardware"),
    _row("IC socket", "^Package_(DIP|LCC)", "Socket", "socket"),
    _row("J-lead", "", "^PLCC-|^SOJ-|^TSOC-|_JPin|_JLeg", "j-lead"),
    _row("fuse holder", "^Fuse", "Fuseholder", "connector"),
    _row("fuse block", "^Fuse", "UMT|UMZ|TBU|NANO2|MF-SM", frozenset({"end-cap", "bottom-terminated"})),
    _row("chip array", "", "^R_Array|^R_Cat|_Array_1206", "end-cap"),
    _row("shunt", "^Resistor", "Shunt", "end-cap"),
    _row("MELF", "", "MELF|^D_SOD-110", "end-cap"),
    _row("chip", "", r"^(R|C|L|D|LED|Fuse)_\d{4,5}_\d{4,5}Metric", "end-cap"),
    _row("aluminium can", "^Capacitor_SMD", "_Elec_", "can"),
    _row("trimmer capacitor", "^Capacitor_SMD", "Trimmer", OPEN),
    _row("moulded inward-L", "^Capacitor_Tantalum", "", "inward-l"),
    _row("quad gull-wing", "^Package_QFP", "", "gull-wing"),
    _row("bottom-terminated", "^Package_SO$", "PowerPAK|SON-|DFN|PDSO-N|SO-8FL|PQFN|HSON", "bottom-terminated"),
    _row("two-row gull-wing", "^Package_SO$", "", "gull-wing"),
    _row("bottom-terminated", "^Package_(DFN_QFN|SON|LGA)", "", "bottom-terminated"),
    _row("bottom-terminated", "^Package_CSP", "LFCSP", "bottom-terminated"),
    _row("ball grid", "^Package_BGA", "", "ball-grid"),
    _row("wafer-level balls", "^Package_CSP", "", "ball-grid"),
    _row("gull-wing dual in-line", "^Package_DIP", "", "gull-wing"),
    _row("metal-can flip transistor", "^Package_DirectFET", "", "bottom-terminated"),
    _row(
        "bottom-terminated",
        "^Package_TO_SOT",
        "SOT-88[36]|SOT-1123|SOT-133|PQFN|PowerPAK|TDSON|DRT-|CFP15",
        "bottom-terminated",
    ),
    _row(
        "power tab",
        "^Package_TO_SOT",
        "(^|[_-])TO-(2|5)|SOT-223|SOT-89|LFPAK|HSOF|HDSOP|ATPAK|HRP|NDW|NDQ|NDY|PowerMacro|SuperSOT-\\d+_.*tab",
        "tab",
    ),
    _row("small gull-wing", "^Package_TO_SOT", "", "gull-wing"),
    _row("bottom-terminated", "^Diode", "QFN|DFN|DSN|PolyZen", "bottom-terminated"),
    _row("moulded inward-L diode", "^Diode", "SM[ABCFP]|PowerDI|Powermite|TUMD", "inward-l"),
    _row("small gull-wing diode", "^Diode", "", "gull-wing"),
    _row("LED, inward-L", "^LED", "PLCC", "inward-l"),
    _row("LED, leadless", "^LED", "", frozenset({"inward-l", "bottom-terminated", "end-cap", "gull-wing"})),
    _row("common-mode choke", "^Inductor", "CommonMode", OPEN | {"end-cap"}),
    _row("inductor", "^Inductor", "", "bottom-terminated"),
    _row("cylinder crystal", "^Crystal", "MicroCrystal_MS", "gull-wing"),
    _row("ceramic leadless", "^(Crystal|Oscillator|Filter)", "", "bottom-terminated"),
    _row("antenna", "^RF_Antenna", "Johanson|Pulse|Coilcraft", "end-cap"),
    _row("printed antenna", "^RF_Antenna", "Texas", "hardware"),
    _row("side-pad module", "^(RF|Module|Converter)", "", OPEN | {"castellated"}),
    _row("switch", "^Button_Switch", "", OPEN | {"through-hole"}),
    _row("potentiometer", "^Potentiometer", "", OPEN),
    _row("relay", "^Relay", "", OPEN),
    _row("transformer", "^Transformer", "", OPEN),
    _row("opto device", "^OptoDevice", "", OPEN),
    _row("sensor", "^Sensor", "", OPEN),
    _row("buzzer or motor", "^(Buzzer|Motors)", "", OPEN),
    _row("display", "^Display", "", OPEN | {"other"}),
)


def row_of(library_id: str) -> Row | None:
    """Return the first row that fits a "library:name", None where none does."""
    library, _, name = library_id.partition(":")
    return next((row for row in ROWS if re.search(row.library, library) and re.search(row.name, name)), None)
