"""The job sheet as PDF."""

import io

from pypdf import PdfReader

import sample_jobs
from builders import board, case, part, review, sequence
from leeward.job import WorkSequence
from leeward.report.pdf import sheet_pdf
from leeward.report.pdf_drawing import printable
from leeward.report.sheet import job_sheet
from report.hostile import VALUE, hostile_sheet

A4_MM, LETTER_MM = (210.0, 297.0), (215.9, 279.4)


def read(data: bytes) -> PdfReader:
    """Return a PDF for reading."""
    return PdfReader(io.BytesIO(data))


def test_the_sample_takes_a_page_of_drawing_and_steps_and_one_of_lists() -> None:
    """Two pages: the first holds verdict, callouts and steps, the second the three lists and the cautions."""
    pages = [page.extract_text() for page in read(sheet_pdf(sample_jobs.sample_sheet())).pages]
    assert len(pages) == 2
    made = sample_jobs.sample_sheet().targets[0]
    for words in (made.verdict[:40], "The side to work on", made.steps[0].do[:40], made.steps[-1].do[:40], "Notes"):
        assert words in pages[0]
    for words in ("Neighbours, by shielding need", "Nozzles, by clearance", "Lands, by risk of lifting", "Cautions"):
        assert words in pages[1]


def test_the_page_fits_a4_and_letter() -> None:
    """A page is no wider and no taller than either paper."""
    judged = review()
    box = read(sheet_pdf(job_sheet(board(), [judged], sequence(judged)))).pages[0].mediabox
    wide, tall = float(box.width) / 72 * 25.4, float(box.height) / 72 * 25.4
    assert wide <= min(A4_MM[0], LETTER_MM[0]) + 0.01
    assert tall <= min(A4_MM[1], LETTER_MM[1]) + 0.01


def test_the_same_sheet_gives_the_same_bytes() -> None:
    """No time and no random name is in the file."""
    judged = review()
    made = job_sheet(board(), [judged], sequence(judged))
    assert sheet_pdf(made) == sheet_pdf(made)


def test_each_target_begins_a_page() -> None:
    """Two targets take at least two pages each begun by its own reference."""
    one, two = review(), review(case(part("U2", 30.0)))
    made = job_sheet(board(), [one, two], WorkSequence(("id-U1", "id-U2"), (), (), ()))
    pages = [page.extract_text() for page in read(sheet_pdf(made)).pages]
    assert [page.count("The side to work on") for page in pages] == [1, 0, 1, 0]


def test_hostile_words_are_shown_as_they_are() -> None:
    """Markup in a name is no markup of the PDF's paragraphs either."""
    text = "".join(page.extract_text() for page in read(sheet_pdf(hostile_sheet())).pages)
    assert VALUE[:12] in text.replace("\n", "")


def test_letters_that_the_font_lacks_are_spelled_or_marked() -> None:
    """Ohm and micro are kept; what cannot be shown is a question mark, never left out."""
    assert printable("4k7 \u2126, 10 \u03bcF, \u4e2d") == "4k7 Ohm, 10 \u00b5F, ?"
