"""The network while it grows: nodes, links, faces, solder."""

from dataclasses import dataclass, field

import numpy as np
from scipy.sparse import coo_array, csr_array

from leeward.heat.grid import Floats
from leeward.heat.records import FaceKind, Faces, Ints


@dataclass(slots=True)
class Draft:
    """What has been put in so far; nodes are numbered in the order of their coming."""

    capacity: list[Floats] = field(default_factory=list)
    links: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)
    faces: list[tuple[Ints, Floats, Floats, Floats, bool, FaceKind, bool]] = field(default_factory=list)
    solder: list[tuple[int, float]] = field(default_factory=list)  # node and mm3
    nodes: int = 0

    def add_nodes(self, capacity_j_k: Floats) -> Ints:
        """Append nodes and return their numbers."""
        first, self.nodes = self.nodes, self.nodes + capacity_j_k.size
        self.capacity.append(capacity_j_k)
        return np.arange(first, self.nodes)

    def link(self, a: Ints | int, b: Ints | int, conductance_w_k: Floats | float) -> None:
        """Join nodes pairwise."""
        self.links.append(tuple(np.ravel(x).copy() for x in np.broadcast_arrays(a, b, conductance_w_k)))  # type: ignore[arg-type]  # three arrays, which a generator does not tell

    def add_faces(
        self, node: Ints, area_m2: Floats, x_mm: Floats, y_mm: Floats, kind: FaceKind, *, on_top: bool, of_target: bool
    ) -> None:
        """Open nodes to the air, (k,) each."""
        self.faces.append((node, area_m2, x_mm, y_mm, on_top, kind, of_target))

    def matrix(self) -> csr_array:
        """Return the conductance matrix: positive on the diagonal, rows summing to zero."""
        a, b, g = (np.concatenate(column) for column in zip(*self.links, strict=True))
        rows, columns = np.concatenate([a, b, a, b]), np.concatenate([b, a, a, b])
        entries = np.concatenate([-g, -g, g, g])
        return csr_array(coo_array((entries, (rows, columns)), shape=(self.nodes, self.nodes)))

    def all_faces(self) -> Faces:
        """Return the faces as one record."""
        sizes = [face[0].size for face in self.faces]
        node, area, x, y = (np.concatenate([face[i] for face in self.faces]) for i in range(4))
        on_top, kind, of_target = (np.repeat([face[i] for face in self.faces], sizes) for i in (4, 5, 6))
        return Faces(node, area, x, y, on_top, kind.astype(np.int8), of_target)
