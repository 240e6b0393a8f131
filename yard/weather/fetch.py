"""Fetch a forecast: one polite request, one retry, and bytes with what must be kept beside them.

Terms read: api.weather.gov wants a User-Agent with a contact (403 without) and 5 s before a retry; api.met.no
wants an identifying User-Agent, at most 4 decimals of a degree, Last-Modified sent back verbatim, gzip,
Expires obeyed, and answers 203 where a product is going away.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

import httpx

from yard.speech import _
from yard.weather.hourly import ForecastNotRead
from yard.weather.readers.body import MAX_BYTES

TIMEOUT_S = 10.0
RETRY_AFTER_S = 5.0
NWS_URL = "https://api.weather.gov"
METNO_URL = "https://api.met.no/weatherapi/locationforecast/2.0/complete"
OPEN_METEO_URL = "https://customer-api.open-meteo.com/v1/forecast"
OPEN_METEO_HOURLY = (
    "temperature_2m,relative_humidity_2m,dew_point_2m,precipitation_probability,precipitation,"
    "weather_code,wind_speed_10m,wind_gusts_10m,wind_direction_10m"
)


@dataclass(frozen=True, slots=True)
class Validators:
    """What the last good answer said of itself, word for word; None where it said nothing."""

    etag: str | None = None
    last_modified: str | None = None


@dataclass(frozen=True, slots=True)
class Fetched:
    """A body as it came. deprecated: the provider says that this address is going away."""

    body: bytes
    headers: tuple[tuple[str, str], ...]
    fetched_at: datetime
    validators: Validators
    expires_at: datetime | None
    deprecated: bool


@dataclass(frozen=True, slots=True)
class NotModified:
    """The last good answer still stands."""

    fetched_at: datetime
    expires_at: datetime | None


def _degrees(value: float, limit: float) -> str:
    """At most 4 decimals and no trailing noughts: longer ones are refused or sent elsewhere."""
    if not -limit <= value <= limit:
        raise ValueError(f"{value} is not {-limit:g} to {limit:g} degrees")
    # `+ 0.0` turns the -0.0 that rounding can leave into 0.0.
    return f"{round(value, 4) + 0.0:.4f}".rstrip("0").rstrip(".")


def nws_point_url(lat_deg: float, lon_deg: float) -> str:
    """The answer names the gridpoint forecast: readers.nws.read_grid_url. Keep it for a month."""
    return f"{NWS_URL}/points/{_degrees(lat_deg, 90)},{_degrees(lon_deg, 180)}"


def metno_url(lat_deg: float, lon_deg: float) -> str:
    return f"{METNO_URL}?lat={_degrees(lat_deg, 90)}&lon={_degrees(lon_deg, 180)}"


def open_meteo_url(lat_deg: float, lon_deg: float, api_key: str) -> str:
    """The paid address; the free one is not for business. It holds the key, a secret: never log it."""
    if not api_key:
        raise ValueError(_("Open-Meteo's free address is for non-commercial use: a key is needed"))
    query = {
        "latitude": _degrees(lat_deg, 90),
        "longitude": _degrees(lon_deg, 180),
        "hourly": OPEN_METEO_HOURLY,
        "timezone": "GMT",
        "forecast_days": "10",
        "apikey": api_key,
    }
    return str(httpx.URL(OPEN_METEO_URL, params=query))


def fetch(
    client: httpx.Client,
    url: str,
    *,
    contact: str,
    validators: Validators,
    now: datetime,
    clock_s: Callable[[], float],
    sleep_s: Callable[[float], None],
) -> Fetched | NotModified:
    """Ask once, and once more after 5 s where the first try failed for a while.

    contact: an address of mail or https that the provider can write to. now: stamped on the answer. clock_s:
    a clock that only rises, in seconds. Raises ForecastNotRead with a reason that holds neither key nor
    query. httpx logs whole addresses at INFO, keys included: keep its logger at WARNING.
    """
    if not (contact.isascii() and contact.isprintable() and ("@" in contact or contact.startswith("https://"))):
        raise ValueError(
            _("{contact!r} is no contact: give a mail or https address in plain letters").format(contact=contact)
        )
    headers = {"User-Agent": f"yard season planner ({contact})", "Accept-Encoding": "gzip"}
    if validators.etag:
        headers["If-None-Match"] = validators.etag
    if validators.last_modified:
        headers["If-Modified-Since"] = validators.last_modified
    try:
        return _ask(client, url, headers, now, clock_s)
    except ForecastNotRead as error:
        if error.permanent:
            raise
    sleep_s(RETRY_AFTER_S)
    return _ask(client, url, headers, now, clock_s)


def _ask(
    client: httpx.Client, url: str, headers: dict[str, str], now: datetime, clock_s: Callable[[], float]
) -> Fetched | NotModified:
    host = httpx.URL(url).host
    give_up_at_s = clock_s() + TIMEOUT_S
    try:
        with client.stream("GET", url, headers=headers, timeout=TIMEOUT_S, follow_redirects=False) as response:
            if response.status_code == httpx.codes.NOT_MODIFIED:
                return NotModified(now, _expires_at(response))
            _check_status(host, response.status_code)
            body = _whole_body(host, response, clock_s, give_up_at_s)
    except httpx.TimeoutException as error:
        raise ForecastNotRead(
            _("{host} did not answer within {seconds:g} s").format(host=host, seconds=TIMEOUT_S), permanent=False
        ) from error
    except httpx.HTTPError as error:
        raise ForecastNotRead(
            _("{host} could not be reached ({error})").format(host=host, error=type(error).__name__), permanent=False
        ) from error
    return Fetched(
        body=body,
        headers=tuple(response.headers.items()),
        fetched_at=now,
        validators=Validators(response.headers.get("ETag"), response.headers.get("Last-Modified")),
        expires_at=_expires_at(response),
        deprecated=response.status_code == httpx.codes.NON_AUTHORITATIVE_INFORMATION,
    )


def _check_status(host: str, status: int) -> None:
    if status in (httpx.codes.OK, httpx.codes.NON_AUTHORITATIVE_INFORMATION):
        return
    if status >= 500 or status in (httpx.codes.TOO_MANY_REQUESTS, httpx.codes.REQUEST_TIMEOUT):
        raise ForecastNotRead(
            _("{host} is not answering just now ({status})").format(host=host, status=status), permanent=False
        )
    if status in (httpx.codes.FORBIDDEN, httpx.codes.UNAUTHORIZED):
        raise ForecastNotRead(
            _("{host} refuses us ({status}): check the contact or the key").format(host=host, status=status),
            permanent=True,
        )
    raise ForecastNotRead(
        _("{host} answers {status}: check the place and the address").format(host=host, status=status), permanent=True
    )


def _whole_body(host: str, response: httpx.Response, clock_s: Callable[[], float], give_up_at_s: float) -> bytes:
    """The unpacked body, cut off where it grows or drips too long: httpx times single reads only."""
    body = bytearray()
    for chunk in response.iter_bytes():
        body += chunk
        if len(body) > MAX_BYTES:
            raise ForecastNotRead(
                _("{host} sends over {most} MB: not a forecast").format(host=host, most=MAX_BYTES // 1_000_000),
                permanent=True,
            )
        if clock_s() > give_up_at_s:
            raise ForecastNotRead(
                _("{host} did not finish within {seconds:g} s").format(host=host, seconds=TIMEOUT_S), permanent=False
            )
    return bytes(body)


def _expires_at(response: httpx.Response) -> datetime | None:
    """The Expires header in UTC; None where it is missing or no date ("0", "-1")."""
    try:
        return parsedate_to_datetime(response.headers.get("Expires", "")).astimezone(UTC)
    except (ValueError, OverflowError):
        return None
