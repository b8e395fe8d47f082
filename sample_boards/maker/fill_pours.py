"""Fill the pours of a board with KiCad's own filler and save it: `fill_pours.py UNFILLED FILLED`.

Runs under the interpreter that KiCad 6 installs its `pcbnew` module for, not under the project's.
"""

import sys

import pcbnew

ARC_ERROR_MM = 0.02  # KiCad's own 0.005 makes the file twice as long


def main() -> None:
    """Load, fill, save."""
    unfilled, filled = sys.argv[1:]
    board = pcbnew.LoadBoard(unfilled)
    board.GetDesignSettings().m_MaxError = pcbnew.FromMM(ARC_ERROR_MM)
    pcbnew.ZONE_FILLER(board).Fill(board.Zones())
    pcbnew.SaveBoard(filled, board)


if __name__ == "__main__":
    main()
