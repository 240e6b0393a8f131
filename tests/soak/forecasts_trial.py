"""Bad forecasts through the page that takes them in as a file, in each of the formats."""

from __future__ import annotations

import json
import random
import traceback
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.soak.bad_json import bad_json
from tests.soak.bad_sheets import bad_sheet
from tests.soak.limits import TooLong, at_most
from yard.models import Closure, HourlyForecast
from yard.weather.readers import plain_csv

MOST_CPU_S = 5.0
SAMPLES = Path(__file__).parents[1] / "reference" / "weather"
RECORDED = {"nws": "nws_gridpoint", "metno": "metno_complete", "open_meteo": "open_meteo"}
CSV = [
    list(plain_csv.COLUMNS),
    *[[f"2027-01-15T{hour:02}:00Z", "12", "18", "240", "0.2", "30", "4", "1", "80", "no"] for hour in range(24)],
]


def try_forecasts(client: Client, numbers: Sequence[int]) -> Iterator[str]:
    """What went wrong, a line for each. client: signed in as a planner. What was kept is taken away again."""
    good = {kind: json.loads((SAMPLES / f"{name}.json").read_bytes()) for kind, name in RECORDED.items()}
    kinds = [*good, "csv"]
    for number in numbers:
        kind = kinds[number % len(kinds)]
        done, data = _damaged(number, kind, good)
        try:
            with at_most(MOST_CPU_S):
                wrong = _one(client, kind, data)
        except TooLong as error:
            wrong = str(error)
        except Exception:  # whatever it is: the page may not fail in any way
            wrong = traceback.format_exc(limit=-4)
        if wrong:
            yield f"forecast {number} ({kind}, {done}): {wrong}"


def _damaged(number: int, kind: str, good: dict[str, Any]) -> tuple[str, bytes]:
    if kind == "csv":
        sheet = bad_sheet(number // 4, CSV[0], CSV[1:])
        return sheet.damage, sheet.data
    chance = random.Random(number)
    shown = good[chance.choice(list(good))] if chance.random() < 0.03 else good[kind]
    return bad_json(number // 4, shown)


def _one(client: Client, kind: str, data: bytes) -> str:
    forecasts, closures = list(_keys(HourlyForecast)), list(_keys(Closure))
    answer = client.post("/forecast/", {"format": kind, "file": SimpleUploadedFile("forecast", data)})
    said = " ".join(map(str, get_messages(answer.wsgi_request)))
    shown = client.get("/forecast/")
    made = HourlyForecast.objects.exclude(pk__in=forecasts)
    kept = made.count()
    bodies = [settings.DATA_DIR / row.raw_path for row in made if row.raw_path]
    Closure.objects.exclude(pk__in=closures).delete()
    made.delete()
    for body in bodies:
        body.unlink(missing_ok=True)
    if (answer.status_code, shown.status_code) != (302, 200):
        return f"answered {answer.status_code}, and the page {shown.status_code}"
    if not said:
        return "nothing was said"
    if "kept" in said:
        return ""
    return "refused, and kept" if kept else "" if "Choose" in said or "larger" in said else f"not clear: {said}"


def _keys(model: Any) -> Any:
    return model.objects.values_list("pk", flat=True)
