"""The table of families, and how footprints are recognised."""

from typing import get_args

import pytest

from leeward.constants import table
from leeward.parts.families import Words, families, recognise
from leeward.parts.lands import lands
from leeward.parts.limits import limit
from leeward.parts.records import LeadStyle
from parts.drawn import box, chip, two_rows

# The families of surface-mount parts in KiCad's library and the lead style that each stands for.
STYLES = {
    "Connector_JST:JST_PH_S3B-PH-SM4-TB": "connector",
    "Connector_Card:microSD_HC": "connector",
    "TerminalBlock_Phoenix:MKDS": "connector",
    "Battery:BatteryHolder_Keystone_3000_1x12mm": "connector",
    "Package_DFN_QFN:QFN-24-1EP_4x4mm": "bottom-terminated",
    "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm": "gull-wing",
    "Inductor_SMD:L_Bourns_SRN6045TA": "bottom-terminated",
    "Crystal:Crystal_SMD_3225-4Pin_3.2x2.5mm": "bottom-terminated",
    "Oscillator:Oscillator_SMD_Abracon_ASE": "bottom-terminated",
    "Mounting_Wuerth:Mounting_Wuerth_WA-SMSI-M3_H5mm": "hardware",
    "Package_BGA:BGA-256_17.0x17.0mm": "ball-grid",
    "Resistor_SMD:R_0603_1608Metric": "end-cap",
    "Button_Switch_SMD:SW_SPST_PTS645": "gull-wing",
    "RF_Module:ESP32-WROOM-32": "castellated",
    "Package_QFP:LQFP-100_14x14mm_P0.5mm": "gull-wing",
    "Package_CSP:WLCSP-25": "ball-grid",
    "Capacitor_SMD:CP_Elec_6.3x5.8": "can",
    "Package_TO_SOT_SMD:TO-252-2": "tab",
    "LED_SMD:LED_PLCC-2": "inward-l",
    "Package_DIP:SMDIP-8_W9.53mm": "gull-wing",
    "Capacitor_Tantalum_SMD:CP_EIA-3528-21_Kemet-B": "inward-l",
    "Package_LCC:PLCC-44_SMD-Socket": "socket",
    "Package_TO_SOT_SMD:SOT-23": "gull-wing",
    "Package_LCC:PLCC-44": "j-lead",
    "Package_SO:SOJ-36_10.16x23.49mm_P1.27mm": "j-lead",
    "Package_SO_J-Lead:TSOC-6_3.76x3.94mm_P1.27mm": "j-lead",
    "Button_Switch_SMD:SW_DIP_SPSTx04_Slide_JPin": "j-lead",
    "Relay_SMD:Relay_DPDT_AXICOM_IMSeries_JLeg": "j-lead",
    "Transformer_SMD:Pulse_PA1323NL": "gull-wing",
    "Package_DirectFET:DirectFET_MX": "bottom-terminated",
    "Potentiometer_SMD:Potentiometer_Bourns_3314G": "gull-wing",
    "RF_Shielding:Laird_BMI-S-101": "hardware",
    "OptoDevice:Everlight_ITR8307": "gull-wing",
    "Diode_SMD:D_SMA": "inward-l",
    "Relay_SMD:Relay_DPDT_Omron_G6K-2F-Y": "gull-wing",
    "Package_TO_SOT_SMD:SOT-563": "gull-wing",
    "Resistor_SMD:R_Array_Convex_4x0402": "end-cap",
    "Diode_SMD:D_SOD-123": "gull-wing",
    "Sensor:Avago_APDS-9960": "bottom-terminated",
    "Capacitor_SMD:C_Trimmer_Murata_TZB4-A": "gull-wing",
    "Diode_SMD:D_MELF": "end-cap",
    "Fiducial:Fiducial_1mm_Mask2mm": "hardware",
    "Buzzer_Beeper:Buzzer_Murata_PKMCS0909E": "gull-wing",
    "Fuse:Fuse_1206_3216Metric": "end-cap",
    "Resistor_SMD:R_Shunt_Vishay_WSK2512": "end-cap",
    "Display:OLED-128O064D": "other",
    "Sensor_Audio:Knowles_LGA-5_3.5x2.65mm": "bottom-terminated",
    "Heatsink:Heatsink_Fischer_FK24413": "hardware",
}
FREE_NAMES = {
    "LED_0805": "chip LED",
    "R_0603": "chip resistor",
    "C0402": "chip capacitor",
    "SM1206POL": "tantalum capacitor",
    "SOT-23": "small outline transistor",
    "SOT96-1": "two-row gull-wing",
    "QFN-48": "leadless package",
    "UFQFPN-48_7X7X0P55MM": "leadless package",
    "TSOP54": "two-row gull-wing",
    "SOIJ-8_5.3x5.3mm": "two-row gull-wing",
    "lattice_cabga256": "ball grid array",
    "DO-214AB": "moulded diode",
    "USB_C_Receptacle_HRO_TYPE-C-31-M-12": "USB connector",
    "DSUB-9_Female_MountingHolesOffset8mm": "D-sub connector",
    "R_0805_HandSolder_Jumper_NC": "solder link",
    "TESTPOINT-50MIL": "test point",
    "TP1": "test point",
    "Johnson-142-0701": "unknown surface-mount part",
    "TP4056-Module": "module",
}


@pytest.mark.parametrize("library_id", STYLES)
def test_every_kind_of_surface_mount_part_has_its_lead_style(library_id: str) -> None:
    """Each kind of part in KiCad's library is recognised by name as a family of the right lead style."""
    read = lands(two_rows(library_id, leads=4, pitch=2.0, row=2.0, land=(1, 1)))
    assert recognise(library_id, "ZZ1", read).value.lead_style == STYLES[library_id]


@pytest.mark.parametrize("name", FREE_NAMES)
def test_free_names(name: str) -> None:
    """Names outside KiCad's library conventions are understood in any library, or without one."""
    read = lands(two_rows(name, leads=4, pitch=2.0, row=2.0, land=(1, 1)))
    assert recognise(name, "ZZ1", read).value.id == FREE_NAMES[name]
    assert recognise(f"mine:{name}", "ZZ1", read).value.id == FREE_NAMES[name]


def test_plcc_through_holes_is_a_socket() -> None:
    """J-leaded carriers are never soldered through holes; such a footprint is their socket."""
    read = lands(two_rows("own:PLCC84", leads=20, pitch=2.54, row=8, land=(1.5, 1.5), kind="through-hole"))
    assert recognise("own:PLCC84", "U8", read).value.id == "chip carrier socket"


def test_reference_is_asked_last() -> None:
    """Letters of the reference decide where the name says nothing, with low confidence, and never over the name."""
    read = lands(chip("own:part-17", 2.4, fab=box(1.6, 0.8)))
    found = recognise("own:part-17", "C12", read)
    assert (found.value.id, found.confidence) == ("chip capacitor", "low")
    assert recognise("own:LED_0603", "C12", read).value.id == "chip LED"
    assert recognise("own:part-17", "CLOCK1", read).value.id == "unknown surface-mount part"


def test_the_tables_hold_together() -> None:
    """Every family has a known lead style, a limit for either mounting, and every rule names a family."""
    for family in families().values():
        assert family.lead_style in get_args(LeadStyle)
        for surface_mount in (True, False):
            found = limit(family, (5.0, 5.0), 1.0, "SAC305", surface_mount=surface_mount)
            assert 60 <= found.limit_c.value <= 300
            assert found.spread_c > 0
    rows = table("families")["recognise"]
    assert {row["family"] for row in [*rows["rule"], *rows["reference"]]} <= set(families())


def test_every_number_says_where_it_comes_from() -> None:
    """Every value in both data files stands beside its unit, source and confidence."""

    def check(entry: object, where: str) -> int:
        if isinstance(entry, list):
            return sum(check(item, where) for item in entry)
        if not isinstance(entry, dict):
            return 0
        own = "value" in entry or "steps" in entry
        if own:
            assert {"unit", "source", "confidence"} <= set(entry), where
            assert entry["confidence"] in ("high", "medium", "low"), where
        return own + sum(check(value, f"{where}.{key}") for key, value in entry.items())

    assert check(table("families"), "families") > 100
    assert check(table("limits"), "limits") > 30


@pytest.mark.parametrize(
    ("ref", "name", "family", "confidence"),
    [
        ("C39", "R_1210_3225Metric", "chip capacitor", "medium"),
        ("L2", "R_1812_4532Metric", "chip inductor", "medium"),
        ("FB1", "R_0603_1608Metric", "chip inductor", "medium"),
        ("R7", "R_0603_1608Metric", "chip resistor", "high"),
        ("RV7", "R_0603_1608Metric", "chip resistor", "high"),  # no letters of another chip
        ("D7", "LED_0603_1608Metric", "chip LED", "high"),  # a LED is a diode
        ("C7", "0402", "chip capacitor", "medium"),
        ("D7", "0402", "chip diode", "medium"),
        ("C7", "part-17", "chip capacitor", "low"),
    ],
)
def test_chips_are_what_their_reference_says(ref: str, name: str, family: str, confidence: str) -> None:
    """Lands of one size take any chip: C39 on lands drawn for a resistor is a capacitor, and so much taller."""
    found = recognise(f"Resistor_SMD:{name}" if name.startswith("R_") else f"own:{name}", ref, lands(chip("any", 2.2)))
    assert (found.value.id, found.confidence) == (family, confidence)
    assert (ref in found.source) == (confidence != "high")


@pytest.mark.parametrize(
    ("description", "name", "family"),
    [
        ("Through hole straight pin header, 1x04, 2.54mm pitch", "connector_swd", "pin header"),
        ("Single-pole relay, see http://maker.example/crystal", "part-17", "relay"),
        ("Fuse holder for 5x20 mm", "part-17", "fuse holder"),
        ("shielded inductor", "SOIC-8", "two-row gull-wing"),  # the name comes first
        ("a thing", "part-17", "unknown surface-mount part"),
    ],
)
def test_descriptions_speak_where_names_do_not(description: str, name: str, family: str) -> None:
    """A description names the family of a footprint whose name tells nothing, or no more than that it connects."""
    read = lands(two_rows("own:any", leads=4, pitch=2.0, row=2.0, land=(1, 1)))
    found = recognise(f"own:{name}", "ZZ1", read, Words(description=description))
    assert found.value.id == family


def test_keywords_speak_after_the_description() -> None:
    """Keywords name a family that neither name nor description tells, and give way to a description."""
    read = lands(two_rows("own:any", leads=4, pitch=2.0, row=2.0, land=(1, 1)))
    found = recognise("own:part-17", "ZZ1", read, Words(keywords="SMD relay 5V"))
    assert (found.value.id, found.source) == ("relay", "'relay' in the keywords")
    told = recognise("own:part-17", "ZZ1", read, Words(description="a crystal", keywords="SMD relay 5V"))
    assert told.value.id == "crystal"


@pytest.mark.parametrize(
    ("library_id", "words", "family"),
    [
        ("Capacitor_SMD:CP_Elec_8x10", Words(value="220u polymer"), "polymer can capacitor"),
        ("Capacitor_SMD:CP_Elec_8x10", Words(description="conductive polymer aluminum"), "polymer can capacitor"),
        ("Capacitor_SMD:CP_Elec_8x10", Words(value="220u 25V"), "aluminium can capacitor"),
        ("own:CP_EIA-7343-31_polymer", Words(), "polymer tantalum capacitor"),
        ("Resistor_SMD:R_0603_1608Metric", Words(description="polymer"), "chip capacitor"),
    ],
)
def test_polymer_sorts_are_told_by_words(library_id: str, words: Words, family: str) -> None:
    """No outline tells a polymer capacitor; name, value, description or keywords do, and of capacitors alone."""
    found = recognise(library_id, "C1", lands(chip("any", 6.0)), words)
    assert found.value.id == family
    assert ("in its words" in found.source) == family.startswith("polymer")


@pytest.mark.parametrize(
    ("name", "family"),
    [
        ("TestPoint_Loop_D2.50mm_Drill1.0mm", "test loop"),
        ("TestPoint_Bridge_Pitch2.54mm_Drill0.7mm", "test loop"),
        ("TestPoint_Pad_D1.5mm", "test point"),
    ],
)
def test_loops_stand_and_bare_test_points_do_not(name: str, family: str) -> None:
    """A loop or bridge for a test clip stands in a nozzle's way; a test point is a land."""
    found = recognise(f"TestPoint:{name}", "TP1", lands(chip("any", 2.0))).value
    assert (found.id, found.stands) == (family, family == "test loop")
