"""What a board file holds that the reader has no place for: told, not dropped in silence.

Every word that begins a node is in one of two tables: READ, which the reader looks at, and SET_ASIDE, which says
nothing of copper, parts or outlines, with the reason. Any other is counted and noted.
"""

from collections import Counter
from collections.abc import Iterator

from leeward.board.nodes import line_of
from leeward.board.sexpr import Node

READ = """
    kicad_pcb version general thickness layers setup stackup layer type material pad_to_mask_clearance
    net net_class add_net via_drill footprint module uuid tstamp at attr teardrop descr tags property hide
    net_tie_pad_groups zone_connect pad size drill offset rect_delta roundrect_rratio chamfer_ratio chamfer
    options anchor primitives padstack mode shape remove_unused_layers keep_end_layers start_end_only
    zone_layer_connections solder_mask_margin model scale rotate xyz
    fp_text gr_text gr_text_box fp_text_box effects font knockout render_cache polygon pts xy
    gr_line gr_arc gr_circle gr_rect gr_poly gr_curve fp_line fp_arc fp_circle fp_rect fp_poly fp_curve
    start mid end center angle radius width stroke fill segment arc via
    zone net_name min_thickness connect_pads clearance priority keepout copperpour filled_polygon
    filled_areas_thickness thermal_gap thermal_bridge_width hatch_gap hatch_thickness island_removal_mode
"""
NOTED = {
    "backdrill": "back-drilled from one side: their full barrel is counted",
    "tertiary_drill": "back-drilled from the other side: their full barrel is counted",
    "image": "reference pictures, which are left out",
}
REASONS = {
    "names, papers and dates": """
        generator generator_version host title_block page paper sheetname sheetfile path tedit name id descr units
        variants variant component_classes component_class class locked placed private_layers""",
    "how KiCad shows, checks, plots or edits": """
        pcbplotparams group generated teardrops hatch placement status free unlocked justify bold italic face
        color grid_origin aux_axis_origin last_trace_width user_trace_width user_via user_diff_pair trace_clearance
        zone_clearance zone_45_only trace_min segment_width edge_width via_size via_min_size via_min_drill uvia_size
        uvia_drill uvias_allowed uvia_min_size uvia_min_drill pcb_text_width pcb_text_size mod_edge_width
        mod_text_size mod_text_width pad_size pad_drill visible_elements defaults blind_buried_vias_allowed
        trace_width via_dia uvia_dia diff_pair_width diff_pair_gap zone_defaults point target margins border
        legacy_teardrops embedded_files embedded_fonts opacity autoplace_cost90 autoplace_cost180
        line_spacing hatch_position gr_vector gr_bbox solder_mask_min_width
        allow_soldermask_bridges_in_footprints area links no_connects drawings tracks zones modules nets""",
    "text and drawings off the copper, counted where they lie on it": "dimension barcode table",
    "solder paste": """
        solder_paste_margin solder_paste_margin_ratio solder_paste_ratio pad_to_paste_clearance
        pad_to_paste_clearance_ratio""",
    "via caps and covers": "tenting covering plugging filling capping front_post_machining back_post_machining",
    "electrical design": """
        pinfunction pintype die_length die_delay epsilon_r loss_tangent jumper_pad_groups
        duplicate_pad_numbers_are_jumpers""",
    "how a fill was made, where the fill itself is read": """
        arc_segments smoothing hatch_orientation hatch_smoothing_level hatch_smoothing_value hatch_border_algorithm
        hatch_min_hole_area island_area_min island fill_segments thermal_width thermal_bridge_angle
        vias pads footprints""",
    "finish": "copper_finish dielectric_constraints edge_connector castellated_pads edge_plating",
}
SET_ASIDE = {word: reason for reason, words in REASONS.items() for word in words.split()}
# Below these stand words of the user's or of a plotter's, or rows headed by numbers: they are not walked.
CLOSED = """
    layers general pcbplotparams title_block generated group embedded_files teardrops units variants variant
    component_classes jumper_pad_groups dimension barcode table zone_defaults render_cache
    pts tenting covering plugging placement
"""
WITH_COORDINATES = frozenset({"xy", "start", "end", "mid", "center", "at", "pts"})
KNOWN = frozenset(READ.split()) | SET_ASIDE.keys()
NOT_WALKED = frozenset(CLOSED.split())
MOST_NOTES = 20


def not_understood(root: Node) -> Iterator[str]:
    """Yield one note for each unknown word, those that carry coordinates first, and those of NOTED."""
    counts, first, placed = Counter[str](), dict[str, int](), set[str]()
    for node, line in _unknown(root):
        head = str(node[0])
        counts[head] += 1
        first.setdefault(head, line)
        if head not in NOTED and head not in placed and _has_coordinates(node):
            placed.add(head)
    words = sorted(counts, key=lambda word: (word not in placed, first[word]))
    for word in words[:MOST_NOTES]:
        yield _note(word, counts[word], first[word], word in placed)
    if len(words) > MOST_NOTES:
        yield f"{len(words) - MOST_NOTES} more kinds of entry are not understood and left out"


def _note(word: str, count: int, line: int, placed: bool) -> str:
    where = f"{count}, the first in what begins on line {line}"
    if word in NOTED:
        return f"({word} ...) ({where}): {NOTED[word]}"
    shown = word if len(word) <= 40 else f"{word[:40]}..."
    what = "carries coordinates that are not understood and left out" if placed else "is not understood and left out"
    return f"({shown} ...) {what} ({where})"


def _unknown(root: Node) -> Iterator[tuple[Node, int]]:
    """Yield the nodes whose word is unknown, in file order of what stands below the root, with its line."""
    for item in root:
        if not isinstance(item, list):
            continue
        stack: list[Node] = [[item]]
        while stack:
            for node in stack.pop():
                if not isinstance(node, list):
                    continue
                if node[0] not in KNOWN:
                    yield node, line_of(item)
                elif node[0] not in NOT_WALKED and not _is_plain(node):
                    stack.append(node)


def _is_plain(node: Node) -> bool:
    """Say whether a node holds at most two words and nothing below it: most do, and need no look inside."""
    return len(node) < 4 and isinstance(node[-1], str) and (len(node) < 3 or isinstance(node[1], str))


def _has_coordinates(node: Node) -> bool:
    stack = [node]
    while stack:
        for entry in stack.pop():
            if isinstance(entry, list):
                if entry[0] in WITH_COORDINATES:
                    return True
                stack.append(entry)
    return False
