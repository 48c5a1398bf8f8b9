"""What a hostile file name, XMP packet, brief, or page of another site gets of a board: nothing."""

from PIL import Image

from setsolver.usecases.scan import scan
from tests.catalog.test_metadata import keywords
from tests.catalog.test_xmp import packet
from tests.usecases.boards import make_folder, open_board, write_brief
from tests.web.browsing import BROWSED, running

HOSTILE = "x<img src=a onerror=document.title='owned'>.jpg"

pytestmark = BROWSED


def test_a_hostile_file_name_and_brief_are_text_and_no_more(tmp_path, open_page):
    folder = make_folder(tmp_path)
    for file in sorted((folder / "morning").iterdir()):
        with Image.open(file) as image:
            image.save(file.with_name(file.stem + HOSTILE), xmp=packet(keywords("&lt;script&gt;", "scale:&lt;b&gt;")))
        file.unlink()
    scan(folder, workers=0)
    text = (write_brief(tmp_path)).read_text("utf-8").replace("size = 3", "title = '<b onclick=1>wall</b>'\nsize = 3")
    write_brief(tmp_path, text)
    with running(open_board(tmp_path)) as address:
        page = open_page(address)
        assert page.inner_text("#title") == "<b onclick=1>wall</b>"
        assert page.title() == "<b onclick=1>wall</b>: the board"
        page.fill("[data-id='find']", "onerror")
        page.click(".cell >> nth=0")
        assert HOSTILE in page.inner_text("#chosen-head")
        assert page.query_selector("img[onerror]") is None
        page.fill("[data-id='find']", "<script>")
        assert page.inner_text("#tray-count") == "4 of 8 frames"
        assert page.query_selector("#sheet script") is None
        assert page.title() == "<b onclick=1>wall</b>: the board"


def test_a_page_of_another_site_gets_nothing(tmp_path, open_page, browser):
    board = open_board(tmp_path)
    with running(board) as address:
        page = open_page(address)
        before = board.view()
        here = address.partition("/?")[0]
        stranger = page.context.new_page()  # with the board's cookie in the same browser
        stranger.route(
            "http://evil.example/*", lambda route: route.fulfill(body="<title>evil</title>", content_type="text/html")
        )
        stranger.goto("http://evil.example/")
        told = stranger.evaluate(
            """async (here) => {
              const answers = [];
              for (const [mode, kind] of [["cors", "application/json"], ["no-cors", "text/plain"]]) {
                try {
                  const answer = await fetch(`${here}/act`, { method: "POST", mode, credentials: "include",
                    headers: { "Content-Type": kind }, body: '{"do":"weigh","term":"appeal","points":1}' });
                  answers.push(mode === "cors" ? await answer.text() : answer.type);
                } catch { answers.push("refused"); }
              }
              const image = new Image();
              answers.push(await new Promise((done) => {
                image.onload = () => done("loaded"); image.onerror = () => done("refused");
                image.src = `${here}/frame/"""
            + before["set"]["prints"][0]["frame"]
            + """/240`;
              }));
              return answers;
            }""",
            here,
        )
        assert told[0] == "refused"
        assert told[1] in ("refused", "opaque")
        assert told[2] == "refused"
        assert board.view() == before
