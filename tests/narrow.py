"""What is asked of a page's layout in a real browser, of its HTML alone: its style sheets put into it, its scripts left
out.

Narrow is 320 px with the spacing of letters opened (WCAG 2.2: 1.4.10, and 1.4.12 for the figures), which is 1280 px
enlarged four times; a desk is 1000 px, and between them 740 px is the least that is laid out as on a desk.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

from django.contrib.staticfiles import finders

NARROW, BETWEEN, DESK = ({"width": wide, "height": 640} for wide in (320, 740, 1000))
OPENED = "* { line-height: 1.5 !important; letter-spacing: .12em !important; word-spacing: .16em !important }"
SHEET = re.compile(r'<link rel="stylesheet" href="/static/([^"]+)">')
LEFT_OUT = re.compile(r"<script\b.*?</script>|<link rel=\"icon\"[^>]*>", re.DOTALL)

WIDER = """() => {
  const wide = document.documentElement.clientWidth, by = document.documentElement.scrollWidth - wide;
  if (by <= 0) { return []; }
  const scrolls = each => { for (let p = each.parentElement; p; p = p.parentElement) {
    if (p !== document.body && getComputedStyle(p).overflowX !== 'visible') { return true; } } return false; };
  const out = [...document.body.querySelectorAll('*')].filter(each => {
    const box = each.getBoundingClientRect(); return box.width && box.right > wide + .5 && !scrolls(each); });
  const inner = out.filter(each => !out.some(other => other !== each && each.contains(other)));
  return [`${by} px wider than the screen: ` + inner.slice(0, 2).map(each => each.outerHTML.slice(0, 120)).join(' … ')];
}"""
"""A page that scrolls sideways, and what reaches out of it. What scrolls in its own box may be as wide as it likes."""

CUT = """() => [...document.body.querySelectorAll('*')].filter(each => {
    const style = getComputedStyle(each);
    if (each.closest('svg, .vh') || !each.getClientRects().length || !each.textContent.trim()) { return false; }
    if (['INPUT', 'SELECT', 'TEXTAREA'].includes(each.tagName) || each.clientWidth <= 1) { return false; }
    return /hidden|clip/.test(style.overflowX) && each.scrollWidth > each.clientWidth + 1
      || /hidden|clip/.test(style.overflowY) && each.scrollHeight > each.clientHeight + 1;
  }).map(each => 'cut: ' + each.outerHTML.slice(0, 160))"""

TOO_SMALL = """() => {
  const asked = 'a[href], button, input:not([type=hidden]), select, textarea, summary';
  const boxes = [...document.querySelectorAll(asked)].filter(each =>
      each.getClientRects().length && !each.disabled && !each.closest('.vh, .skip'))
    .map(each => ({each, box: each.getBoundingClientRect()})).filter(({box}) => box.width && box.height);
  const small = box => box.width < 24 || box.height < 24;
  const label = each => each.labels && each.labels[0] && !small(each.labels[0].getBoundingClientRect());
  const inSentence = each => each.tagName === 'A' && getComputedStyle(each).display === 'inline'
    && [...each.parentElement.childNodes].some(node => node.nodeType === 3 && node.textContent.trim().length > 2);
  const centre = box => [box.x + box.width / 2, box.y + box.height / 2];
  const crowded = ({each, box}) => boxes.some(other => {
    if (other.each === each || other.each.contains(each) || each.contains(other.each)) { return false; }
    const [x, y] = centre(box), [ox, oy] = centre(other.box);
    const dx = Math.max(other.box.left - x, 0, x - other.box.right);
    const dy = Math.max(other.box.top - y, 0, y - other.box.bottom);
    return Math.hypot(dx, dy) < 12 || small(other.box) && Math.hypot(ox - x, oy - y) < 24; });
  return boxes.filter(one => small(one.box) && !label(one.each) && !inSentence(one.each) && crowded(one))
    .map(({each, box}) => `${box.width.toFixed()} × ${box.height.toFixed()} px: ` + each.outerHTML.slice(0, 120));
}"""
"""What is smaller than 24 px, stands in no sentence, and has another target within 12 px of its middle (2.5.8)."""

UNNAMED = """() => {
  const named = each => (each.getAttribute('aria-label') || each.getAttribute('aria-labelledby')
    || (each.querySelector(':scope > title, :scope > caption') || {}).textContent || '').trim();
  const pictures = [...document.querySelectorAll('svg')].filter(each =>
    each.getClientRects().length && !each.closest('[aria-hidden=true]') && !each.parentElement.closest('svg'));
  return [...pictures.filter(each => each.getAttribute('role') !== 'img' || !named(each)),
      ...[...document.querySelectorAll('table')].filter(each => !named(each)
        && !(each.closest('[role=region][aria-label]') || document.body).matches('[aria-label]'))]
    .map(each => 'no name: ' + each.outerHTML.slice(0, 120));
}"""
"""Pictures that are read out, and tables, without a name; a region that is named for its table names it."""


def standing_alone(html: str) -> str:
    """The page with its style sheets in it and no scripts: nothing is asked of a server."""
    return LEFT_OUT.sub("", SHEET.sub(lambda found: f"<style>{_sheet(found[1])}</style>", html))


@cache
def _sheet(path: str) -> str:
    found = finders.find(path)
    assert isinstance(found, str), path
    return Path(found).read_text(encoding="utf-8")


def layout_faults(page: Any, html: str) -> list[str]:
    """What is wrong with a page as it is laid out, narrow and at a desk. Raises nothing of it."""
    page.set_viewport_size(DESK)
    page.set_content(standing_alone(html), wait_until="domcontentloaded")
    page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
    told = [f"desk: {each}" for asked in (WIDER, TOO_SMALL, UNNAMED) for each in page.evaluate(asked)]
    page.set_viewport_size(BETWEEN)
    told += [f"between: {each}" for asked in (WIDER, CUT) for each in page.evaluate(asked)]
    page.set_viewport_size(NARROW)
    page.add_style_tag(content=OPENED)
    return told + [f"narrow: {each}" for asked in (WIDER, CUT) for each in page.evaluate(asked)]
