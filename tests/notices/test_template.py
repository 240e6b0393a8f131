"""The words that a yard edits: a fixed list of facts, and no way from there to anything else."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yard.notices.template import LONGEST, Run, TemplateFault, check_template, fill

FACTS = {"day": "Monday", "boat": "Tern", "reason": ""}


def text_of(template: str, facts: dict[str, str] = FACTS) -> str:
    return "\n\n".join("".join(run.text for run in each) for each in fill(template, facts))


@pytest.mark.parametrize(
    ("template", "text"),
    [
        ("On $day, $boat.", "On Monday, Tern."),
        ("${boat}s go", "Terns go"),
        ("It costs $$5", "It costs $5"),
        ("$boat goes.[ Because: $reason.] Yes.", "Tern goes. Yes."),
        ("$boat goes. [Because: $reason.] Yes.", "Tern goes. Yes."),
        ("[On $day.] [Why $reason.]", "On Monday."),
        ("One\n\n[$reason]\n\nTwo", "One\n\nTwo"),
        ("[no facts at all]", "no facts at all"),
        ("a\r\nb", "a\nb"),
        ("", ""),
    ],
)
def test_facts_are_put_in_and_silent_parts_left_out(template: str, text: str) -> None:
    assert text_of(template) == text


def test_what_comes_from_the_plan_is_marked() -> None:
    assert fill("On $day.", FACTS) == ((Run("On "), Run("Monday", follows=True), Run(".")),)


@pytest.mark.parametrize(
    ("template", "says"),
    [
        ("Hello\n$secret_key", "Line 2: $secret_key is no placeholder. There are: $boat, $day, $reason."),
        ("$owner.password", "$owner is no placeholder"),
        ("${settings.SECRET_KEY}", "a $ without a name"),
        ("${day!r}", "a $ without a name"),
        ("$ 5", "Line 1: a $ without a name: write $day for a fact, or $$ for a dollar sign."),
        ("[a [b]]", "Line 1: a bracket opens inside another"),
        ("a]", "closes that was not opened"),
        ("\n[a", "Line 2: this bracket is not closed"),
        ("x" * (LONGEST + 1), "shorten it"),
    ],
)
def test_what_cannot_be_used_is_named_with_its_line(template: str, says: str) -> None:
    with pytest.raises(TemplateFault) as fault:
        check_template(template, FACTS.keys())
    assert says in str(fault.value)


@pytest.mark.parametrize(
    "template",
    [
        "{{ settings.SECRET_KEY }}",
        "{% debug %}",
        "{owner.__class__.__init__.__globals__}",
        "%(day)s",
        "{0.__class__}",
        "<% x %>",
        "#{7*7}",
    ],
)
def test_other_languages_are_only_text(template: str) -> None:
    assert text_of(template) == template


@given(st.text(max_size=200), st.text(max_size=60))
def test_a_checked_template_is_always_filled_and_a_fact_is_never_read(template: str, fact: str) -> None:
    facts = {"day": fact, "boat": "$day [$boat] {day}", "reason": ""}
    try:
        check_template(template, facts.keys())
    except TemplateFault:
        with pytest.raises(TemplateFault):
            fill(template, facts)
        return
    said = [run.text for each in fill(template, facts) for run in each if run.follows]
    assert set(said) <= {fact, facts["boat"]}
