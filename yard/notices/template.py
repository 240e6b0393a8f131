"""Words with places for facts: `$day` stands for a fact, and a part in [square brackets] is left out where one of its
facts has nothing to say.  `$$` is a dollar sign.

It is no programming language: a placeholder is a name of a fixed list, and its value is text.  There is no attribute,
no index, no call and no format, so that nothing but those facts can be read through it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from yard.speech import _

LONGEST = 6000
"""Letters: two printed pages. More is a mistake in pasting."""
_MARK = re.compile(r"\$(?:(?P<dollar>\$)|(?P<name>[a-z_]+)|\{(?P<braced>[a-z_]+)\}|(?P<wrong>))")
_BRACKET = re.compile(r"[\[\]]")


class TemplateFault(ValueError):
    """The words cannot be used; the text names the line, what is wrong, and the remedy."""


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of words. follows: it comes from the plan, and nobody types over it."""

    text: str
    follows: bool = False


Paragraph = tuple[Run, ...]


def check_template(text: str, known: Collection[str]) -> None:
    """Raises TemplateFault for what `fill` would stumble over, naming the first fault."""
    if len(text) > LONGEST:
        raise TemplateFault(
            _("{letters} letters are more than {most}: shorten it.").format(
                letters=f"{len(text):,}", most=f"{LONGEST:,}"
            )
        )
    for _optional, line, part in _parts(text):
        for _piece in _pieces(part, line, known):
            pass


def fill(text: str, facts: Mapping[str, str]) -> tuple[Paragraph, ...]:
    """Paragraphs, which blank lines part; one of which nothing is left is left out.

    facts: the text of every placeholder that may be used, "" where it has nothing to say; the text of a fact is never
    read as a template.  Raises TemplateFault.
    """
    runs: list[Run] = []
    for optional, line, part in _parts(text):
        pieces = list(_pieces(part, line, facts.keys()))
        if optional and any(name and not facts[name] for name, _ in pieces):
            continue
        runs += [Run(facts[name], follows=True) if name else Run(words) for name, words in pieces]
    return _paragraphs(runs)


def _parts(text: str) -> Iterator[tuple[bool, int, str]]:
    """(optional, line, words) in order: what stands in brackets is optional."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    at, line, inside = 0, 1, False
    for bracket in _BRACKET.finditer(text):
        words = text[at : bracket.start()]
        opens = bracket.group() == "["
        here = line + words.count("\n")
        if opens and inside:
            raise TemplateFault(
                _("Line {line}: a bracket opens inside another: close the first one before it.").format(line=here)
            )
        if not opens and not inside:
            raise TemplateFault(
                _("Line {line}: a bracket closes that was not opened: take it out, or open it.").format(line=here)
            )
        yield inside, line, words
        at, line, inside = bracket.end(), here, opens
    if inside:
        raise TemplateFault(
            _("Line {line}: this bracket is not closed: put a ] where the part ends.").format(line=line)
        )
    yield False, line, text[at:]


def _pieces(part: str, line: int, known: Collection[str]) -> Iterator[tuple[str, str]]:
    """(placeholder, "") and ("", words) in order."""
    at = 0
    for mark in _MARK.finditer(part):
        yield "", part[at : mark.start()]
        at = mark.end()
        name = mark["name"] or mark["braced"]
        here = line + part[: mark.start()].count("\n")
        if mark["dollar"]:
            yield "", "$"
        elif not name:
            raise TemplateFault(
                _("Line {line}: a $ without a name: write $day for a fact, or $$ for a dollar sign.").format(line=here)
            )
        elif name not in known:
            raise TemplateFault(
                _("Line {line}: ${name} is no placeholder. There are: {names}.").format(
                    line=here, name=name, names=_list(known)
                )
            )
        else:
            yield name, ""
    yield "", part[at:]


def _list(known: Collection[str]) -> str:
    return ", ".join(f"${name}" for name in sorted(known))


def _paragraphs(runs: list[Run]) -> tuple[Paragraph, ...]:
    found: list[list[Run]] = [[]]
    for run in runs:
        pieces = [run.text] if run.follows else re.split(r"\n[ \t]*\n\s*", run.text)
        for number, words in enumerate(pieces):
            if number:
                found.append([])
            if words:
                found[-1].append(Run(words, run.follows))
    tidied = (_tidy(each) for each in found)
    return tuple(each for each in tidied if each)


def _tidy(runs: list[Run]) -> Paragraph:
    """Spaces where a part was left out are joined, and those at the ends fall away."""
    found: list[Run] = []
    for run in runs:
        words = run.text if run.follows else re.sub(r"[ \t]+", " ", run.text)
        if not run.follows and found and not found[-1].follows:
            words = re.sub(r"[ \t]+", " ", found.pop().text + words)
        words = re.sub(r" ?\n ?", "\n", words) if not run.follows else words
        found.append(Run(words, run.follows))
    if found and not found[0].follows:
        found[0] = Run(found[0].text.lstrip())
    if found and not found[-1].follows:
        found[-1] = Run(found[-1].text.rstrip())
    kept = tuple(run for run in found if run.text)
    return kept if any(run.text.strip() for run in kept) else ()
