import pytest

from buildlog.prose import prose


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ""),
        ("one\ntwo", "<p>one<br>\ntwo</p>\n"),
        ("- a\n- b", "<ul>\n<li>a</li>\n<li>b</li>\n</ul>\n"),
        ("~~no~~", "<p><s>no</s></p>\n"),
        ("# Hull", "<h3>Hull</h3>\n"),
        ("###### Hull", "<h6>Hull</h6>\n"),
        (
            "[plan](https://plan.example/?a=1&b=2)",
            '<p><a href="https://plan.example/?a=1&amp;b=2" rel="nofollow noopener noreferrer">'
            "plan</a></p>\n",
        ),
        ('1" x 2" & more', '<p>1" x 2" &amp; more</p>\n'),
    ],
)
def test_prose_reads_markdown(text, expected):
    assert prose(text) == expected


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "![x](https://elsewhere.example/spy.png)",
        "[x](javascript:alert(1))",
        "[x](data:text/html,<script>alert(1)</script>)",
        "[x](https://a.example/ 'a\" onclick=\"alert(1)')",
        "<a href=x style='position:fixed'>x</a>",
        '<div class="button first">x</div>',
        "<https://a.example/\"onmouseover='alert(1)'>",
        "[x]: javascript:alert(1)\n\n[x]",
    ],
)
def test_prose_lets_nothing_active_through(text):
    import re

    html = prose(text)
    tags = re.findall(r"<[^>]*>", html)
    for tag in tags:
        assert re.fullmatch(
            r'</?[a-z0-9]+>|<a href="https?://[^"]*" rel="nofollow noopener noreferrer">', tag
        ), tag
