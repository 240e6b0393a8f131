"""The fetch against a made-up server: no test touches the network or waits."""

import gzip
import itertools
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import httpx
import pytest

from yard.weather.fetch import (
    Fetched,
    NotModified,
    Validators,
    fetch,
    metno_url,
    nws_point_url,
    open_meteo_url,
)
from yard.weather.hourly import ForecastNotRead
from yard.weather.readers.body import MAX_BYTES

NOW = datetime(2026, 4, 14, 9, tzinfo=UTC)
URL = "https://api.example.org/forecast?apikey=s3cret"
Answer = httpx.Response | Exception
NO_VALIDATORS = Validators()


class Server:
    """Gives its answers in turn and remembers what it was asked, and how long the caller slept."""

    def __init__(self, *answers: Answer) -> None:
        self.answers = list(answers)
        self.requests: list[httpx.Request] = []
        self.slept: list[float] = []

    def handle(self, request: httpx.Request) -> httpx.Response:
        self.requests.append(request)
        answer = self.answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer

    def fetch(
        self, validators: Validators = NO_VALIDATORS, clock_s: Callable[[], float] = lambda: 0.0
    ) -> Fetched | NotModified:
        with httpx.Client(transport=httpx.MockTransport(self.handle)) as client:
            return fetch(
                client,
                URL,
                contact="office@yard.example",
                validators=validators,
                now=NOW,
                clock_s=clock_s,
                sleep_s=self.slept.append,
            )


def test_a_good_answer_keeps_bytes_headers_and_time():
    headers = {
        "ETag": '"a1"',
        "Last-Modified": "Tue, 14 Apr 2026 05:31:02 GMT",
        "Expires": "Tue, 14 Apr 2026 09:31:00 GMT",
        "Content-Encoding": "gzip",
    }
    server = Server(httpx.Response(200, headers=headers, content=gzip.compress(b"{}")))
    answer = server.fetch()
    assert isinstance(answer, Fetched)
    assert answer.body == b"{}"
    assert answer.fetched_at == NOW
    assert answer.validators == Validators('"a1"', "Tue, 14 Apr 2026 05:31:02 GMT")
    assert answer.expires_at == datetime(2026, 4, 14, 9, 31, tzinfo=UTC)
    assert ("etag", '"a1"') in answer.headers
    assert not answer.deprecated
    assert server.slept == []


def test_we_say_who_we_are_and_send_back_what_we_were_given():
    server = Server(httpx.Response(304, headers={"Expires": "Tue, 14 Apr 2026 10:00:00 GMT"}))
    answer = server.fetch(Validators('"a1"', "Tue, 14 Apr 2026 05:31:02 GMT"))
    assert answer == NotModified(NOW, datetime(2026, 4, 14, 10, tzinfo=UTC))
    sent = server.requests[0].headers
    assert sent["User-Agent"] == "yard season planner (office@yard.example)"
    assert sent["If-None-Match"] == '"a1"'
    assert sent["If-Modified-Since"] == "Tue, 14 Apr 2026 05:31:02 GMT"
    assert sent["Accept-Encoding"] == "gzip"


def test_without_validators_none_are_sent():
    server = Server(httpx.Response(200, content=b"{}"))
    server.fetch()
    assert "If-None-Match" not in server.requests[0].headers
    assert "If-Modified-Since" not in server.requests[0].headers


@pytest.mark.parametrize(
    "failure",
    [
        lambda: httpx.Response(503),
        lambda: httpx.Response(500),
        lambda: httpx.Response(429),
        lambda: httpx.ConnectError("down"),
        lambda: httpx.ReadTimeout("slow"),
        lambda: httpx.RemoteProtocolError("cut"),
        lambda: httpx.Response(200, headers={"Content-Encoding": "gzip"}, stream=httpx.ByteStream(b"no gzip")),
    ],
)
def test_a_passing_failure_is_tried_once_more_after_five_seconds(failure):
    server = Server(failure(), httpx.Response(200, content=b"{}"))
    assert isinstance(server.fetch(), Fetched)
    assert server.slept == [5.0]
    server = Server(failure(), failure(), httpx.Response(200, content=b"{}"))
    with pytest.raises(ForecastNotRead, match=r"api\.example\.org") as caught:
        server.fetch()
    assert not caught.value.permanent
    assert len(server.requests) == 2
    assert server.slept == [5.0]


@pytest.mark.parametrize(
    ("status", "says"),
    [
        (403, "check the contact or the key"),
        (401, "check the contact or the key"),
        (404, "answers 404"),
        (301, "answers 301"),
    ],
)
def test_a_refusal_is_not_tried_again(status, says):
    server = Server(httpx.Response(status, headers={"Location": "https://elsewhere.example/"}))
    with pytest.raises(ForecastNotRead, match=says) as caught:
        server.fetch()
    assert caught.value.permanent
    assert len(server.requests) == 1
    assert server.slept == []


def test_203_is_read_and_marked_as_going_away():
    answer = Server(httpx.Response(203, content=b"{}")).fetch()
    assert isinstance(answer, Fetched)
    assert answer.deprecated


def test_a_small_packed_body_that_unpacks_huge_is_cut_off():
    bomb = gzip.compress(b" " * (MAX_BYTES + 1))
    assert len(bomb) < 50_000
    server = Server(httpx.Response(200, headers={"Content-Encoding": "gzip"}, content=bomb))
    with pytest.raises(ForecastNotRead, match="5 MB") as caught:
        server.fetch()
    assert caught.value.permanent


def test_a_body_that_drips_is_given_up_after_ten_seconds_in_all():
    def drip() -> Iterator[bytes]:
        while True:
            yield b" "

    seconds = itertools.count(0.0, 3.0)
    server = Server(httpx.Response(200, content=drip()), httpx.Response(200, content=drip()))
    with pytest.raises(ForecastNotRead, match="did not finish within 10 s") as caught:
        server.fetch(clock_s=lambda: next(seconds))
    assert not caught.value.permanent
    assert len(server.requests) == 2


@pytest.mark.parametrize("expires", ["0", "-1", "soon", ""])
def test_an_expires_that_is_no_date_is_none(expires):
    answer = Server(httpx.Response(200, headers={"Expires": expires}, content=b"{}")).fetch()
    assert answer.expires_at is None


@pytest.mark.parametrize("failure", [httpx.ConnectError(URL), httpx.Response(403), httpx.Response(503)])
def test_no_reason_holds_the_key(failure):
    answers = [failure, httpx.Response(503)]
    with pytest.raises(ForecastNotRead) as caught:
        Server(*answers).fetch()
    assert "s3cret" not in caught.value.reason


@pytest.mark.parametrize("contact", ["", "nobody", "a@b\r\nX-Evil: 1", "bür@o.example"])
def test_a_contact_that_is_none_is_refused_before_anything_is_sent(contact):
    with (
        httpx.Client(transport=httpx.MockTransport(Server().handle)) as client,
        pytest.raises(ValueError, match="is no contact"),
    ):
        fetch(
            client,
            URL,
            contact=contact,
            validators=NO_VALIDATORS,
            now=NOW,
            clock_s=lambda: 0.0,
            sleep_s=lambda seconds: None,
        )


def test_addresses_carry_at_most_four_decimals():
    assert nws_point_url(41.60000001, -71.3) == "https://api.weather.gov/points/41.6,-71.3"
    assert metno_url(-0.00001, 179.123456).endswith("complete?lat=0&lon=179.1235")
    url = httpx.URL(open_meteo_url(41.6, -71.3, "s3cret"))
    assert url.params["timezone"] == "GMT"
    assert "wind_gusts_10m" in url.params["hourly"]
    with pytest.raises(ValueError, match="non-commercial"):
        open_meteo_url(41.6, -71.3, "")
    with pytest.raises(ValueError, match="degrees"):
        metno_url(91, 0)
