"""Size codes of wound inductors: the side and the height, each in tenths of a millimetre or the side in millimetres.

6045 is 6.0 mm square and 4.5 mm high, 10145 is 10.1 mm and 4.5 mm, 0630 and 6D30 are 6 mm odd and 3.0 mm. A habit of
the trade that no standard holds makers to, so a code counts only where its side is one of the drawn body's.
"""

import re

from leeward.known import Known

CODE = re.compile(r"(?<![\d.])(\d\d|\d\d\d)(\d\d)(?![\d.]|x\d|mm|metric)", re.IGNORECASE)
MIDDLE_D = re.compile(r"(?<![\d.])(\d{1,2})D(\d\d)(?!\d)")
EXACT_MM = (-0.2, 0.4)  # what a body's side may exceed a side in tenths of a millimetre by
ROUGH_MM = (-0.2, 1.3)  # and one in whole millimetres
FLATTEST = 0.15  # the lowest height over the longer side; a lower one means the code is of another kind
PLAN_MM = 0.5  # a height so near to a side of the body may be that side
LEAST_SIDE_MM = 4  # that is given in whole millimetres


def height_by_size_code(name: str, body_mm: tuple[float, float]) -> Known[float] | None:
    """Return the height that a size code in the name gives, None where there is none or the body speaks against it.

    A code that gives both sides of the body, or is square, may be of the plan alone.
    """
    for code in CODE.finditer(name):
        side, height = int(code[1]), int(code[2]) / 10
        of_plan = code[1] == code[2] or any(abs(height - own) <= PLAN_MM for own in body_mm)
        rough = len(code[1]) == 2 and side >= LEAST_SIDE_MM and _is_side(side, ROUGH_MM, body_mm)
        if not of_plan and (_is_side(side / 10, EXACT_MM, body_mm) or rough) and _is_likely(height, body_mm):
            return _known(height, code[0])
    middle = MIDDLE_D.search(name)
    if (
        middle is None
        or not _is_side(int(middle[1]), ROUGH_MM, body_mm)
        or not _is_likely(int(middle[2]) / 10, body_mm)
    ):
        return None
    return _known(int(middle[2]) / 10, middle[0])


def _is_side(side_mm: float, beyond_mm: tuple[float, float], body_mm: tuple[float, float]) -> bool:
    least, most = beyond_mm
    return any(least <= own - side_mm <= most for own in body_mm)


def _is_likely(height_mm: float, body_mm: tuple[float, float]) -> bool:
    return FLATTEST * max(body_mm) <= height_mm <= max(body_mm)


def _known(height_mm: float, code: str) -> Known[float]:
    return Known(height_mm, f"size code {code} in the name, a habit of the trade", "medium")
