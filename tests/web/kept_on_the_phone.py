"""Waiting until the crew's worker has kept a page with all that it needs, so that it opens without signal."""

from __future__ import annotations

from typing import Any

# Not by wait_for_function: it takes the promise itself for a yes.
KEPT = """async () => {
  const asked = document.querySelectorAll("[data-keep],script[src],link[rel=stylesheet]");
  const named = [...asked].map(one => one.href || one.src);
  const wanted = [location.href, ...named];
  const cache = await caches.open("crew-day");
  for (let turn = 0; turn < 300; turn++) {
    const found = await Promise.all(wanted.map(one => cache.match(one)));
    if (found.every(Boolean)) { return true; }
    await new Promise(resolve => setTimeout(resolve, 100));
  }
  return false;
}"""


def wait_until_kept(page: Any) -> None:
    page.wait_for_function("() => navigator.serviceWorker.controller !== null")
    assert page.evaluate(KEPT), "the worker did not keep the page, its days, its scripts and its styles"
