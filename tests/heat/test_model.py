"""The network of a board and its parts."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from leeward.board.records import Board, Via
from leeward.heat.model import assemble
from leeward.heat.records import FaceKind, ThermalModel
from leeward.parts.records import Part
from thermal_boards import board, chip, parts, pour, quad, square

OUTLINE = square(0, 0, 40.0)
TARGET = quad("U1", 0, 0, 10.0)


def model_on(plain: Board, *others: Part) -> ThermalModel:
    """Return the model of the target and others on a board."""
    return assemble(plain, parts(TARGET, *others), TARGET)


def test_the_network_conducts_without_loss() -> None:
    """Conductances are symmetric and every row sums to zero: heat that leaves a node arrives at its neighbours."""
    matrix = model_on(board(OUTLINE, layers=4, zones=(pour("In1.Cu", OUTLINE),)), chip("C1", 9, 0)).conductance_w_k
    assert abs(matrix - matrix.T).max() < 1e-12
    assert np.abs(np.asarray(matrix.sum(axis=1))).max() < 1e-9


def test_all_matter_has_its_heat() -> None:
    """Heat capacities add up to laminate, copper, bodies and joints: 2.0e6 J/m3K times the board, and its planes."""
    bare, plane = model_on(board(OUTLINE)), model_on(board(OUTLINE, zones=(pour("B.Cu", OUTLINE),)))
    nodes = len(bare.stack.sheets) * bare.columns
    laminate = 2.0e6 * 1.6e-3 * 40e-3 * 40e-3
    assert bare.capacity_j_k[:nodes].sum() == pytest.approx(laminate, rel=1e-6)
    added = plane.capacity_j_k[:nodes].sum() - bare.capacity_j_k[:nodes].sum()
    assert added == pytest.approx(3.4265e6 * 0.035e-3 * 1600e-6, rel=1e-6)
    assert sum(bare.capacity_j_k[list(n.nodes)].sum() for n in bare.bodies.values()) == pytest.approx(
        TARGET.heat_capacity_j_k
    )


def test_vias_join_the_sheets() -> None:
    """A via adds its barrel's k A / L between every two sheets of its column, and nothing elsewhere."""
    bare = model_on(board(OUTLINE))
    drilled = model_on(board(OUTLINE, vias=(Via(3.1, 3.1, 0.6, 0.3, ("F.Cu", "B.Cu"), ""),)))
    more = (drilled.conductance_w_k - bare.conductance_w_k).tocoo()
    row = int(np.searchsorted(bare.grid.y_edges_mm, 3.1)) - 1
    column = bare.column[row, int(np.searchsorted(bare.grid.x_edges_mm, 3.1)) - 1]
    through = [v for i, j, v in zip(*more.coords, more.data, strict=True) if j == i + bare.columns and abs(v) > 1e-4]
    section_m2 = np.pi * (0.3 - 0.025) * 0.025 * 1e-6
    assert through == pytest.approx([-391.0 * section_m2 / (gap * 1e-3) for gap in bare.stack.gaps_mm])
    assert all(i % bare.columns == column for i, j in zip(*more.coords, strict=True) if j == i + bare.columns)


def test_a_slot_leaves_no_board() -> None:
    """Cells in a cut-out are no part of the network, and no face of the board lies there."""
    model = model_on(board(OUTLINE.difference(shapely.box(10, -15, 13, 15))))
    x, y = model.grid.x_mm, model.grid.y_mm
    inside = (x[None, :] > 10) & (x[None, :] < 13) & (np.abs(y[:, None]) < 15)
    assert (model.column[inside] == -1).all()
    board_faces = model.faces.kind == FaceKind.BOARD
    in_slot = (model.faces.x_mm > 10.5) & (model.faces.x_mm < 12.5) & (np.abs(model.faces.y_mm) < 14)
    assert model.faces.area_m2[board_faces & in_slot].sum() == 0


def test_bodies_take_the_air_from_the_board_below() -> None:
    """The board's open top is its area less the bodies that stand on it; the bottom is open whole."""
    model = model_on(board(OUTLINE), chip("C1", 15, 0))
    open_mm2 = {
        side: model.faces.area_m2[(model.faces.kind == FaceKind.BOARD) & (model.faces.on_top == side)].sum() * 1e6
        for side in (True, False)
    }
    assert open_mm2[True] == pytest.approx(1600.0 - 100.0 - 1.28, rel=1e-6)
    assert open_mm2[False] == pytest.approx(1600.0, rel=1e-6)


def test_joints_are_read_at_their_lands() -> None:
    """Each soldered pad is a joint whose shares add up to one; the target's have nodes of their own."""
    model = model_on(board(OUTLINE), chip("C1", 15, 0), chip("C2", 0, 0, bottom=True))
    np.testing.assert_allclose(np.asarray(model.joint_share.sum(axis=1)).ravel(), 1.0)
    assert len(model.joints) == len(TARGET.footprint.pads) + 4
    assert model.joint_share[[int(model.target_joints[0])]].nnz == 1
    ramp = np.where(np.arange(model.capacity_j_k.size) < model.columns, 1.0, 0.0)  # 1 on the top sheet
    ramp[model.bodies["id-C1"].core] = 1.0
    by_part = {joint.part_id: value for joint, value in zip(model.joints, model.joint_share @ ramp, strict=True)}
    assert (by_part["id-C1"], by_part["id-C2"]) == pytest.approx((1.0, 0.0))


def test_parts_that_are_not_fitted_leave_no_node() -> None:
    """A part without a body has neither node nor joint."""
    ghost = chip("C1", 15, 0)
    bare = replace(ghost, body=shapely.Polygon(), footprint=replace(ghost.footprint, fitted=False))
    model = model_on(board(OUTLINE), bare)
    assert "id-C1" not in model.bodies
    assert all(joint.part_id == TARGET.id for joint in model.joints)


def test_large_neighbours_have_a_top_face_and_joints_of_their_own() -> None:
    """A quad beside the target has top face, core, underside and a node a joint; a chip is one node."""
    near = quad("U2", 12.5, 0, 5.0)
    model = model_on(board(OUTLINE), near, chip("C1", 0, 14))
    nodes = model.bodies[near.id]
    assert len(nodes.nodes) == 3
    assert model.capacity_j_k[list(nodes.nodes)].sum() == pytest.approx(near.heat_capacity_j_k)
    assert len(model.bodies["id-C1"].nodes) == 1
    reads = {joint.part_id: model.joint_share[[i]].nnz for i, joint in enumerate(model.joints)}
    assert reads[near.id] == 1
    assert reads["id-C1"] > 1


def test_solder_near_the_target_melts() -> None:
    """Latent heat of 0.5 J/mm3 lies in the target's joints and those of large neighbours within 10 mm, 0.1 mm thick."""
    near, far = quad("U2", 12.5, 0, 5.0), quad("U3", 0, -25.0, 5.0)
    model = assemble(board(square(0, 0, 80.0)), parts(TARGET, near, far), TARGET)
    owner = dict(zip(model.joint_share.indices.tolist(), [joint.part_id for joint in model.joints], strict=True))
    assert {owner[node] for node in model.melting.node.tolist()} == {TARGET.id, near.id}
    own = [
        latent
        for node, latent in zip(model.melting.node, model.melting.latent_j, strict=True)
        if owner[node] == TARGET.id
    ]
    assert own == pytest.approx([0.5 * 0.75 * 0.1] * len(TARGET.footprint.pads))
    assert list(model.order[-model.melting.node.size :]) == list(model.melting.node)


def test_the_rim_is_open_to_the_air() -> None:
    """The rim of a 40 mm board of 1.6 mm and two foils shows 40 x 4 x 1.67 mm2, and looks to neither side."""
    faces = model_on(board(OUTLINE)).faces
    rim = faces.kind == FaceKind.EDGE
    assert faces.area_m2[rim].sum() * 1e6 == pytest.approx(160.0 * 1.67)
    assert not (faces.facing("top") | faces.facing("bottom"))[rim].any()
