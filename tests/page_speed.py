"""What the dearest pages cost at the size of a large yard: `python -m tests.page_speed --data FOLDER`.

FOLDER is that of an example yard: `YARD_DATA=FOLDER manage.py migrate`, then `manage.py example --size L`: 300 boats,
694 orders, 2,981 jobs and the plan on the wall, on its Thursday in May. Its rows are not changed, but for the account
that looks.

Each page is asked for in one process, without a network: processor time of this process (the clock is beside it), what
is sent after gzip as a proxy does it, and the number of queries. cold: with nothing kept from a request before; warm:
the median of those after it. Ends with 1 where one is over its bound.
"""

from __future__ import annotations

import argparse
import gzip
import os
import statistics
import sys
import time
from typing import Any, NamedTuple

TIMES = 15


class Bound(NamedTuple):
    """A page, and the most that it may cost: milliseconds of processor time, kB before gzip."""

    name: str
    address: str
    most_ms: float
    most_kb: float


def main() -> int:
    arguments = argparse.ArgumentParser(prog="python -m tests.page_speed", description=__doc__)
    arguments.add_argument("--data", required=True, help="the folder of the example yard of size L")
    arguments.add_argument("--profile", help="part of the name of a page to profile instead")
    given = arguments.parse_args()
    os.environ |= {"YARD_DATA": given.data, "DJANGO_SETTINGS_MODULE": "yard.settings", "YARD_PLAIN_STATIC": "1"}
    import django

    django.setup()
    from django.conf import settings

    from tests.soak.ground import signed_in
    from yard import site_memory

    settings.ALLOWED_HOSTS = ["testserver"]
    client = signed_in("page-speed")
    client.get("/healthz")
    site_memory.settle()  # as the site's own process does
    if given.profile:
        return _profile(client, next(page for page in _pages() if given.profile in page.name))
    print(f"load of the machine: {os.getloadavg()[0]:.1f}")
    heads = f"{'cold':>8} {'warm':>8} {'clock':>8} {'bound':>6}  {'kB':>6} {'gzip':>6} {'bound':>6} {'queries':>8}"
    print(f"{'page':<28} {heads}")
    over = [page.name for page in _pages() if _over(client, page)]
    print(f"over their bound: {', '.join(over)}" if over else "none is over its bound")
    return int(bool(over))


def _pages() -> list[Bound]:
    from yard.models import Boat, Plan, PlannedJob, YardSettings

    day = YardSettings.objects.get().clock_frozen_at.date()
    on_the_wall = PlannedJob.objects.filter(plan__state=Plan.State.POSTED)
    boat = Boat.objects.filter(pk__in=on_the_wall.values("job__order__boat")).order_by("pk")[7]
    lists = {"boats": "/boats/", "orders": "/orders/", "owners": "/owners/", "moorings": "/moorings/", "crew": "/crew/"}
    lists |= {"things": "/things/", "places": "/places/", "plans": "/plans/", "letters": "/letters/", "due": "/due/"}
    return [
        Bound("season board", "/", 200, 300),
        Bound("day sheet", f"/days/{day}/", 100, 300),
        Bound("launch list", "/launches/", 100, 300),
        *(Bound(f"list of {name}", address, 100, 300) for name, address in lists.items()),
        Bound("a boat", f"/boats/{boat.pk}/", 60, 300),
    ]


def _over(client: Any, page: Bound) -> bool:
    """Ask for it, print what it cost, and say whether that is too much."""
    from django.core.cache import cache
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    cache.clear()
    cold, _, _ = _asked(client, page.address)
    each = [_asked(client, page.address) for _ in range(TIMES)]
    with CaptureQueriesContext(connection) as asked:
        body = client.get(page.address).content
    warm, clock = (statistics.median(one[at] for one in each) for at in (0, 1))
    size, packed = len(body) / 1000, len(gzip.compress(body, 6)) / 1000
    over = warm > page.most_ms or size > page.most_kb
    print(
        f"{page.name:<28} {cold:>8.0f} {warm:>8.0f} {clock:>8.0f} {page.most_ms:>6.0f}  "
        f"{size:>6.0f} {packed:>6.0f} {page.most_kb:>6.0f} {len(asked):>8}{'  over' if over else ''}",
        flush=True,
    )
    return over


def _asked(client: Any, address: str) -> tuple[float, float, int]:
    """Milliseconds of processor time and by the clock; bytes."""
    began, clock = time.process_time(), time.perf_counter()
    answer = client.get(address)
    spent = 1000 * (time.process_time() - began), 1000 * (time.perf_counter() - clock)
    if answer.status_code != 200:
        raise SystemExit(f"{address} was answered {answer.status_code}")
    return *spent, len(answer.content)


def _profile(client: Any, page: Bound) -> int:
    import cProfile
    import pstats

    client.get(page.address)
    watch = cProfile.Profile()
    watch.runcall(client.get, page.address)
    pstats.Stats(watch).sort_stats("cumulative").print_stats(45)
    return 0


if __name__ == "__main__":
    sys.exit(main())
