"""Rules that every template keeps: a strict content policy, and the yard's own words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2] / "templates"
TEMPLATES = sorted(path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*.html"))
every_template = pytest.mark.parametrize("name", TEMPLATES)


def source(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def refused_markup(html: str) -> list[str]:
    """What a policy without inline script, inline style and foreign addresses would stop."""
    return [
        what
        for what, pattern in (
            ("style attribute", r"<[^>]*\sstyle\s*="),
            ("style element", r"<style\b"),
            ("inline script", r"<script\b(?![^>]*\bsrc=)"),
            ("event attribute", r"<[^>]*\son[a-z]+\s*="),
            ("hx-on", r"\bhx-on\b"),
            ("javascript address", r"javascript:"),
            ("foreign source", r"<(?:script|link|img|iframe|source)\b[^>]*\b(?:src|href)=[\"'](?:https?:)?//"),
        )
        if re.search(pattern, html, flags=re.I)
    ]


@every_template
def test_nothing_that_the_content_policy_would_stop(name):
    assert refused_markup(source(name)) == []


@pytest.mark.parametrize(
    ("html", "found"),
    [
        ('<p style="x">', ["style attribute"]),
        ("<style>", ["style element"]),
        ("<script>x</script>", ["inline script"]),
        ('<a onclick="x">', ["event attribute"]),
        ('<img src="https://x.test/a">', ["foreign source"]),
        ('<script src="/static/a.js" defer></script><p class="style">on = off</p>', []),
    ],
)
def test_the_markup_rule_sees_what_it_should(html, found):
    assert refused_markup(html) == found


# The yard's words: what to say stands beside what is not said.
AVOIDED = {
    r"slots?": "a tide, a day, a place",
    r"tickets?": "a job, an order",
    r"assets?": "a boat, a place",
    r"resources?": "people, places",
    r"backlogs?": "jobs to come",
    r"sprints?": "a week",
    r"install(?:s|ed|ing)? (?:the |her |a )?masts?": "step",
    r"guarantee(?:s|d)?": "planned, firm",
    r"etas?": "the day",
    r"blocked": "waiting on",
    r"tight": "no day in hand",
    r"on hold|holds?": "on time; a weather hold only for weather",
    r"publish(?:es|ed|ing)?": "post",
    r"weights?": "goes first",
    r"draft(?:ing)? (?:a |the )?letters?|drafts a letter": "write to",
    r"chains?": "her jobs",
    r"steps?": "a job; only a mast is stepped",
}
# Said rightly: a weather hold; a mast is stepped; a mooring lies on a chain; a number field's step is HTML.
ALLOWED = re.compile(
    r"weather[ -]holds?|step(?:s|ped)? (?:the |her |a )?masts?|mooring chains?|chain spread|\bstep=[\"'][\d.a-z]+[\"']",
    flags=re.I,
)


def refused_words(text: str) -> list[str]:
    """Avoided words in what a template shows; its tags, comments and class names are not shown."""
    said = re.sub(r"{%\s*translate\s+([\"'])(.*?)\1.*?%}", r"\2", text)
    shown = re.sub(r"{#.*?#}|{%\s*comment.*?endcomment\s*%}|{%.*?%}|{{.*?}}|<!--.*?-->", " ", said, flags=re.S)
    attributes = " ".join(re.findall(r"\b(?:title|alt|aria-label|placeholder|content|value)=\"([^\"]*)\"", shown))
    shown = ALLOWED.sub(" ", f"{re.sub(r'<[^>]*>', ' ', shown)} {attributes}")
    return sorted(
        {word.lower() for pattern in AVOIDED for word in re.findall(rf"\b(?:{pattern})\b", shown, flags=re.I)}
    )


@every_template
def test_the_yards_own_words(name):
    found = refused_words(source(name))
    assert found == [], f"{name}: {found}; the yard says: {AVOIDED}"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("<p>Her next slot</p>", ["slot"]),
        ('<a title="Blocked by paint">', ["blocked"]),
        ("<p>Publish the plan</p>", ["publish"]),
        ("""<p>{% translate "Her next slot" %}, {% translate 'an asset' as what %}</p>""", ["asset", "slot"]),
        ('<a title="{% translate "Blocked by paint" %}">', ["blocked"]),
        ("<p>{% blocktranslate %}The next step of {{ boat }}{% endblocktranslate %}</p>", ["step"]),
        ("<p>The next step: step mast</p>", ["step"]),
        ("<p>A weather hold. She holds her draft of 5 ft.</p>", ["holds"]),
        ('<div class="slot task" id="backlog">{% block tight %}{# a ticket #}</div>', []),
    ],
)
def test_the_word_rule_sees_what_it_should(text, found):
    assert refused_words(text) == found
