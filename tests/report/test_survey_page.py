"""Surveys as one HTML file."""

import hashlib
import re
from base64 import b64encode
from dataclasses import replace

from leeward.report.survey_page import survey_page
from leeward.survey.records import Survey
from report.hostile import NET, NOTE, REF, VALUE
from report.test_page import outline
from surveys import heavy, survey


def hostile_survey() -> Survey:
    """Return a survey in which references, values, nets, reasons and the file's name are hostile."""
    made = survey()
    first, heat = made.targets[0], made.targets[0].heat
    assert heat is not None
    part = replace(first.part, footprint=replace(first.part.footprint, ref=REF, value=VALUE))
    near = replace(heat.nearby[0], ref=VALUE)
    land = replace(heat.lands[0], number=VALUE, net=NET, anchors=(NOTE,))
    target = replace(first, part=part, heat=replace(heat, nearby=(near,), lands=(land,)), hand_tool=NOTE)
    told = replace(made.findings[0], refs=(REF, VALUE), remedy=NET, waived=NOTE)
    return replace(
        made,
        board=replace(made.board, file=f"{VALUE}.kicad_pcb", notes=(NOTE,)),
        parts=replace(made.parts, by_id={**made.parts.by_id, part.id: part}),
        targets=(target, *(replace(each, findings=()) for each in made.targets[1:])),
        findings=(told,),
    )


def test_the_policy_allows_its_own_style_and_script_alone() -> None:
    """Nothing may load, style and script are allowed by their hashes, and no attribute carries a style or a handler."""
    page = survey_page([survey()])
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]+)"', page)
    assert policy.replace("&#39;", "'").startswith("default-src 'none'")
    for tag in ("style", "script"):
        (content,) = re.findall(f"<{tag}>(.*?)</{tag}>", page, re.DOTALL)
        assert b64encode(hashlib.sha256(content.encode()).digest()).decode() in policy.replace("&#43;", "+")
    for name, attributes in outline(page).elements:
        assert not any(key == "style" or key.startswith("on") for key in attributes), name
        assert not any(str(attributes.get(key, "#")).startswith(("http", "//")) for key in ("src", "href"))


def test_every_link_leads_somewhere_and_no_id_is_given_twice() -> None:
    """Two boards on one page: ids are apart, and each part in a map, list or finding leads to its own review."""
    elements = outline(survey_page([survey(), survey(file="other.kicad_pcb")])).elements
    ids = [attributes["id"] for _, attributes in elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    links = {str(attributes["href"]) for name, attributes in elements if name == "a"}
    assert {"#b1-t1", "#b1-t2", "#b1-t3", "#b2-t1"} <= links
    assert {link[1:] for link in links} <= set(ids)


def test_findings_stand_by_kind_and_accepted_ones_apart() -> None:
    """A standing finding has its figures and remedy; a waived one stands under its own heading with the reason."""
    text = " ".join("".join(outline(survey_page([survey()])).text).split())
    standing, accepted = text.split("Accepted findings")
    assert "Put a heat barrier over it." in standing
    assert "Accepted: glued on" not in standing.split("Findings")[-1]
    assert "Accepted: glued on" in accepted
    assert "wall-too-close (U9): no such finding" in accepted


def test_the_same_survey_gives_the_same_page() -> None:
    """Page after page the bytes are the same."""
    assert survey_page([survey()]) == survey_page([survey()])


def test_without_findings_the_page_says_so() -> None:
    """A clean board has none, and no heading for accepted ones."""
    made = survey()
    bare = tuple(replace(target, findings=()) for target in made.targets)
    page = survey_page([replace(made, targets=bare, findings=(), unused_waivers=())])
    assert "Accepted findings" not in page
    assert "<p>None.</p>" in page


def test_hostile_names_stay_text() -> None:
    """Names that are markup are escaped: no element of theirs is on the page."""
    elements = outline(survey_page([hostile_survey()])).elements
    assert [name for name, _ in elements if name == "script"] == ["script"]
    assert not [name for name, _ in elements if name in ("img", "b>")]


def test_a_layer_is_drawn_for_each_ranking() -> None:
    """Each target's body is in the map three times, and its name tells its level there."""
    elements = outline(survey_page([survey(heavy())])).elements
    drawn = {str(a["id"]): str(a.get("aria-label")) for name, a in elements if name == "a" and "id" in a}
    assert drawn["b1-m1-shielding-t1"] == "U1, high"
    assert drawn["b1-m1-clearance-t1"] == "U1, low"
    assert drawn["b1-m1-lift-t1"] == "U1, low"
    assert drawn["b1-m2-shielding-t2"] == "D3"
