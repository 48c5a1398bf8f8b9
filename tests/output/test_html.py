"""The proof sheet as a document: self-contained, inert, reachable, and true to its outcome."""

import re
from base64 import b64decode
from io import BytesIO
from itertools import pairwise

import pytest
from lxml import html
from PIL import Image

from setsolver.domain.outcome import Clashing, Outcome
from setsolver.errors import FrameRefused
from setsolver.output import proof_html
from setsolver.output.view.captions import caption_of
from tests.output.builders import brief, clash, found, outcome, painted, textured

PICTURE = ("data:image/jpeg;base64,", "data:image/svg+xml;base64,")
EVIL = (
    "<script>alert(1)</script>.jpg",
    "\"quotes\" & 'more' onerror=x.jpg",
    "two\nlines.jpg",
    "bytes-\udcff\udc80.jpg",
    "turned-\u202egpj.jpg",
)


def parsed(result, **options):
    text = proof_html(result, painted, **options)
    return html.document_fromstring(text.encode("utf-8"))


@pytest.fixture(scope="module")
def sheet():
    return parsed(outcome())


@pytest.fixture(scope="module", params=["row", "grid", "pair", "story", "mono", "clash", "unknown", "graded"])
def any_sheet(request):
    kind = request.param
    if kind == "clash":
        return parsed(clash())
    if kind == "unknown":
        return parsed(clash(status="undecided", conflict=()))
    if kind == "graded":
        wish = brief()
        return parsed(outcome(wish, sets=(found(wish, ("a.jpg", "b.jpg", "c.jpg"), "graded"),)))
    if kind == "mono":
        return parsed(outcome(brief(tone={"treatment": "mono"})))
    return parsed(outcome(brief(layout={"kind": kind})))


def test_it_loads_nothing_from_anywhere(any_sheet):
    for element in any_sheet.iter():
        for name, value in element.attrib.items():
            assert "//" not in value or value.startswith(PICTURE), (name, value[:80])
    for image in any_sheet.iter("img"):
        assert image.get("src").startswith(PICTURE)
    style = "".join(any_sheet.xpath("//style/text()"))
    assert style.count("url(") == style.count("url(data:font/otf;base64,") == 2
    assert "@import" not in style
    assert not any_sheet.xpath("//link | //iframe | //object | //script[@src]")


def test_the_page_forbids_all_scripts_but_its_own(any_sheet):
    policy = any_sheet.xpath("//meta[@http-equiv='Content-Security-Policy']/@content")[0]
    assert "default-src 'none'" in policy
    assert re.search(r"script-src 'sha256-[A-Za-z0-9+/=]{44}'", policy)
    assert "unsafe-inline" not in policy.split("script-src")[1]
    assert len(any_sheet.xpath("//script")) == 1


def test_no_picture_is_drawn_out_of_its_shape(any_sheet):
    """The room that the page keeps (width and height of the markup) has the aspect of the picture in it."""
    for image in any_sheet.xpath("//img[@width][starts-with(@src, 'data:image/jpeg')]"):
        picture = Image.open(BytesIO(b64decode(image.get("src").partition(",")[2])))
        width, height = int(image.get("width")), int(image.get("height"))
        assert width / height == pytest.approx(picture.width / picture.height, rel=0.02)


def test_every_picture_and_drawing_can_be_read_aloud(any_sheet):
    for image in any_sheet.iter("img"):
        assert image.get("alt").strip()
    for drawing in any_sheet.iter("svg"):
        assert drawing.get("aria-hidden") == "true" or (drawing.get("role") == "img" and drawing.get("aria-label"))


def test_all_letters_are_the_sheet_s_own(any_sheet):
    """One typeface: nothing names another before it, and no picture brings letters along."""
    style = "".join(any_sheet.xpath("//style/text()"))
    families = {family.split(",")[0].strip(' "') for family in re.findall(r"(?:font-family|--text): *([^;}]*)", style)}
    assert families == {"Sheet", "var(--text)"}
    assert not any(image.get("src").startswith(PICTURE[1]) for image in any_sheet.iter("img"))


def test_ids_are_unique_and_all_links_lead_somewhere(any_sheet):
    ids = any_sheet.xpath("//@id")
    assert len(ids) == len(set(ids))
    for target in any_sheet.xpath("//a/@href"):
        assert target.startswith("#")
        assert target[1:] in ids
    for named in any_sheet.xpath("//@aria-labelledby"):
        assert named in ids


def test_headings_go_down_one_level_at_a_time(any_sheet):
    levels = [int(e.tag[1]) for e in any_sheet.iter("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))


def test_tables_have_captions_and_header_cells(any_sheet):
    for table in any_sheet.iter("table"):
        assert table.find("caption").text_content().strip()
        assert table.xpath(".//th[@scope]")


def test_it_begins_with_a_way_past_the_head(any_sheet):
    first = any_sheet.xpath("//body//a")[0]
    assert first.get("href") == "#main"
    assert any_sheet.get("lang") == "en"


def test_the_ledger_is_that_of_the_outcome(sheet):
    best = outcome().sets[0]
    table = sheet.xpath("//section[@id='ledger']//table[contains(@class, 'ledger')]")
    rules = [float(v) for v in table[0].xpath(".//tr[@class='rule']//data/@value")]
    by_rule = {}
    for line in best.ledger:
        by_rule[line.rule] = by_rule.get(line.rule, 0) + line.points
    assert rules == pytest.approx(list(by_rule.values()), abs=1e-9)
    assert float(table[0].xpath(".//tfoot//data/@value")[0]) == best.score
    assert sum(rules) == pytest.approx(best.score, abs=1e-9)
    lines = [float(v) for v in table[1].xpath(".//tr[@class='line']//data/@value")]
    assert sorted(lines) == sorted(line.points for line in best.ledger)
    assert table[0].xpath(".//tr[@class='rule']//data/text()")[0] == "+87.1"  # 30.04 + 29.04 + 28.04


def test_alternates_tell_their_score_and_what_changes(sheet):
    first, second = outcome().sets
    columns = sheet.xpath("//table[contains(@class, 'compare')]/tfoot//data/@value")
    assert [float(v) for v in columns] == [first.score, second.score]
    words = sheet.xpath("//article[@class='alternate']")[0].text_content()
    assert f"\u2212{first.score - second.score:.1f}" in words
    new = {f.path for f in second.frames} - {f.path for f in first.frames}
    assert all(path in words.split("Comes in")[1].split("Goes out")[0] for path in new)
    comes = words.split("Comes in")[1].split("Goes out")[0]
    captions = [f"{n} {caption_of(brief(), f)}" for n, f in enumerate(second.frames, 1) if f.path in new]
    assert [" ".join(comes.split()).count(caption) for caption in captions] == [1] * len(captions)


def test_prints_lie_where_the_layout_says(sheet):
    best = outcome().sets[0]
    prints = sheet.xpath("//section[contains(@class, 'set')]//a[@class='print']/@style")
    for style, frame in zip(prints, best.frames, strict=True):
        share = {k: float(v) for k, v in re.findall(r"(\w+):([\d.]+)%", style)}
        assert share["left"] == pytest.approx(frame.position.x_cm / 162 * 100, abs=1e-3)
        assert share["width"] == pytest.approx(50 / 162 * 100, abs=1e-3)
        assert share["height"] == pytest.approx(100, abs=1e-3)


def test_the_crop_is_drawn_where_it_lies(sheet):
    flat, turned = outcome().sets[0].frames[:2]
    outlines = sheet.xpath("//article[@class='frame']//polygon[@class='edge']/@points")
    points = [tuple(map(float, p.split(","))) for p in outlines[0].split()]
    x, y, w, h = flat.crop
    height = 1000 / 1.5
    assert points[0] == pytest.approx((x * 1000, y * height), abs=0.1)
    assert points[2] == pytest.approx(((x + w) * 1000, (y + h) * height), abs=0.1)
    tilted = [tuple(map(float, p.split(","))) for p in outlines[1].split()]
    assert turned.level_degrees > 0
    assert tilted[1][1] > tilted[0][1]  # the right end of a levelled crop is lower on the tilted frame


def test_bound_and_gap_are_said_and_never_more_than_proven():
    assert "Proven: no other set of these frames under this brief scores more." in parsed(outcome()).text_content()
    wish = brief()
    best = found(wish, ("a.jpg", "b.jpg", "c.jpg"))
    open_gap = best.model_copy(update={"bound": best.score + 4.25, "proven": False})
    words = parsed(outcome(wish, sets=(open_gap,), status="open")).text_content()
    assert "a set that scores up to 4.2 points more may exist" in words
    assert "Proven: no other set" not in words


def test_a_clash_names_every_rule_and_its_way_out():
    words = parsed(clash()).text_content()
    for told in ("9 frames are wanted", "ask for 7 frames", "every print has 150 ppi at 50 cm", "print at 30 cm"):
        assert told in words
    assert "Proven" not in words


def test_a_rule_that_cannot_be_loosened_alone_says_so():
    alone = Clashing(rule="conflict", says="both of a pair must be in")
    assert "No loosening of this rule alone is known to help" in parsed(clash(conflict=(alone,))).text_content()
    both = parsed(clash(conflict=(alone, alone))).text_content()
    assert "no small change of one rule alone is enough" in both
    assert "setsolver gaps" in both
    assert "Each way out" not in both
    assert "No loosening" not in both


def test_running_out_of_time_is_not_called_impossible():
    words = parsed(clash(status="undecided", conflict=())).text_content()
    assert "none was ruled out" in words
    assert "cannot hold together" not in words


def test_names_from_disk_are_inert():
    result = outcome(names=EVIL, catalog='<b>"x"</b>', notes=("<script>alert(2)</script>",))
    text = proof_html(result, painted)
    page = html.document_fromstring(text.encode("utf-8"))
    assert len(page.xpath("//script")) == 1
    assert not page.xpath("//@onerror")
    assert not page.xpath("//b[text()='\"x\"']")
    words = page.text_content()
    assert "<script>alert(1)</script>.jpg" in words  # as words to read
    assert "two\\nlines.jpg" in words
    assert "bytes-\\xff\\x80.jpg" in words
    assert "turned-\\u202egpj.jpg" in words
    assert "\u202e" not in text
    assert "'more' onerror=x.jpg" in "".join(page.xpath("//img/@alt"))


def test_an_outcome_read_back_from_json_gives_the_same_page():
    result = outcome()
    assert proof_html(Outcome.model_validate_json(result.model_dump_json()), painted) == proof_html(result, painted)


def test_a_frame_that_vanished_is_told_and_the_rest_is_shown():
    def gone(path, long_side):
        if path == "b.jpg":
            raise FrameRefused("b.jpg vanished; scan the folder again")
        return painted(path, long_side)

    page = html.document_fromstring(proof_html(outcome(), gone).encode("utf-8"))
    assert "could not be read any more and is shown grey: b.jpg vanished; scan the folder again" in page.text_content()
    assert len(page.xpath("//article[@class='frame']")) == 3


def test_without_script_everything_is_there(sheet):
    assert sheet.xpath("//button[@hidden]")
    assert len(sheet.xpath("//div[@id='asshot']//img")) == 3


@pytest.mark.slow
def test_a_sheet_of_nine_with_three_alternates_stays_small():
    wish = brief(9, layout={"kind": "grid"})
    names = [f"{i:02d}.jpg" for i in range(36)]
    sets = [found(wish, names[9 * k : 9 * k + 9], "best" if k == 0 else "differs", k) for k in range(4)]
    assert len(proof_html(outcome(wish, names, sets=tuple(sets)), textured)) < 6_000_000


def test_wishes_that_have_no_room_are_told_as_that_and_promise_no_more_than_a_way_out():
    wish = Clashing(rule="include", says="2 wide frames are wished, room for 1", way_out="let wide have 2")
    text = parsed(clash(conflict=(wish,))).text_content()
    assert "These wishes and the rules cannot hold together" in text
    assert "let wide have 2" in text
    assert "makes a set possible" not in text


def test_the_wall_comes_directly_under_the_title_and_the_score_at_the_end(sheet):
    sections = [s.get("id") or s.get("class") for s in sheet.xpath("//main/section")]
    assert sections == ["set", "frames", "alternates", "answer", "places", "ledger", "tones", "ruled", "reading"]
    head = sheet.xpath("//header")[0].text_content()
    assert "points" not in head
    assert "Proven" not in head


def test_tables_and_the_making_of_prints_are_folded_away(sheet):
    assert all(table.xpath("ancestor::details") for table in sheet.iter("table"))
    assert not sheet.xpath("//details[@open]")


def test_prints_are_called_by_number_and_caption(sheet):
    called = [" ".join(h.text_content().split()) for h in sheet.xpath("//article[@class='frame']//h3")]
    assert called == [
        "1 Wide view, 1 May 2024, 17:03",
        "2 Middle distance, 1 May 2024, 17:03",
        "3 Close view, 1 May 2024, 17:03",
    ]
    visible = sheet.xpath("//section[contains(@class, 'set')]")[0].text_content()
    assert "a.jpg" not in visible


def test_every_print_has_a_tick_and_a_note_and_every_set_its_own(sheet):
    assert sheet.xpath("//input[@type='checkbox']/@data-print") == ["1", "2", "3"]
    assert sheet.xpath("//input[@name='prefer']/@value") == ["1", "2"]
    assert sheet.xpath("//textarea/@data-note") == ["print 1", "print 2", "print 3", "set 2"]
    hidden = sheet.xpath("//*[self::input or self::textarea]/ancestor::*[@hidden]")
    assert hidden  # without script nothing could be saved, so nothing is asked
    for field in sheet.xpath("//input | //textarea"):
        assert field.xpath("ancestor::label") or sheet.xpath(f"//label[@for='{field.get('id')}']")


def test_mounts_and_mouldings_are_drawn_to_scale():
    wall = {"width": 400, "height": 250, "mount": 5, "frame": 2}
    sheet = parsed(outcome(brief(wall=wall)))
    styles = sheet.xpath("//section[contains(@class, 'set')]//div[@class='moulding']/@style")
    share = {k: float(v) for k, v in re.findall(r"(\w+):([\d.]+)%", styles[0])}
    assert share["width"] == pytest.approx(64 / (3 * 64 + 2 * 6) * 100, abs=1e-3)
    assert share["height"] == pytest.approx(100, abs=1e-3)
